/** The arithmetic behind the effects of work, against published examples. */
import { describe, expect, it } from 'vitest';
import { holmAdjusted } from '../../app/judge/holm.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { workEffects } from '../../app/judge/work-effects.ts';
import { fired, shots, step } from '../judge/work-firings.ts';

describe('Holm', () => {
  it('five probabilities (example in the documentation of the Python package pingouin)', () => {
    const adjusted = holmAdjusted([0.5, 0.003, 0.32, 0.054, 0.0003]);
    [0.64, 0.012, 0.64, 0.162, 0.0015].forEach((value, index) => {
      expect(adjusted[index]).toBeCloseTo(value, 12);
    });
  });

  it('five more (example in the documentation of stdlib’s padjust)', () => {
    const adjusted = holmAdjusted([0.319, 0.201, 0.4, 0.374, 0.113]);
    [0.957, 0.804, 0.957, 0.957, 0.565].forEach((value, index) => {
      expect(adjusted[index]).toBeCloseTo(value, 3);
    });
  });

  it('of none and of one', () => {
    expect(holmAdjusted([])).toEqual([]);
    expect(holmAdjusted([0.02])).toEqual([0.02]);
  });
});

/** A sample of exactly this size, mean and standard deviation. */
function sample(n: number, mean: number, sd: number): number[] {
  const raw = Array.from({ length: n }, (_, i) => Math.sin(1 + 2.3 * i));
  const centre = raw.reduce((sum, x) => sum + x, 0) / n;
  const spread = Math.sqrt(raw.reduce((sum, x) => sum + (x - centre) ** 2, 0) / (n - 1));
  return raw.map((x) => mean + (sd * (x - centre)) / spread);
}

/**
 * NIST/SEMATECH e-Handbook 1.3.5.3 (from memory): 249 and 79 values of mean 20.14458 and 30.48101, standard deviation
 * 6.41470 and 6.10771; with unequal variances T = −12.94627 at 136.8750 degrees of freedom. Taken as stops here.
 */
it('Welch: two samples of unequal variance (NIST/SEMATECH e-Handbook 1.3.5.3, from memory)', () => {
  const readings = fired(
    shots('1', sample(249, 20.14458, 6.4147)),
    shots('1', sample(79, 30.48101, 6.10771)),
  );
  const [effect] = workEffects({
    steps: [step(249)],
    readings,
    series: LEAF_SERIES,
    referenceRule: 'marked',
    profile: { governed: [] },
  });
  const { change, interval } = effect!.marks[0]!;
  expect(change).toBeCloseTo(10.33643, 5);
  // t(0.975) at 136.875 degrees of freedom is 1.97746: between 1.9799 at 120 and 1.9600 at infinity in printed tables.
  const standardError = (interval!.upper - change) / 1.97746;
  expect(change / standardError).toBeCloseTo(12.94627, 3);
});
