import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { nextShotOdds } from '../../app/judge/next-shot.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import type { Band } from '../../app/judge/verdict.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from './sample-readings.ts';

const band = (lower: number, upper: number): Band => ({ lower: stops(lower), upper: stops(upper) });
const sample = (n: number, meanError: number, sd: number) => ({
  n,
  meanError: stops(meanError),
  sd: stops(sd),
});

describe('next-shot odds', () => {
  it('are 95 % for the interval of the next firing', () => {
    for (const times of [
      [0.016, 0.017],
      [0.016, 0.017, 0.0155],
      [0.016, 0.017, 0.0155, 0.0162, 0.0163, 0.0171, 0.0158],
    ]) {
      const statistics = statisticsOf(
        times.map((time) => reading(time)),
        seconds(1 / 60),
      );
      expect(nextShotOdds(statistics, statistics.nextInterval!)).toBeCloseTo(0.95, 10);
    }
  });

  it('are even when the mean stands on a limit far from the other', () => {
    expect(nextShotOdds(sample(5, 0.5, 0.01), band(-50, 0.5))).toBeCloseTo(0.5, 6);
    expect(nextShotOdds(sample(5, -0.5, 0.01), band(-0.5, 50))).toBeCloseTo(0.5, 6);
  });

  it('are worse from few firings than from many that look the same', () => {
    const odds = [2, 3, 5, 10, 100].map((n) => nextShotOdds(sample(n, 0.1, 0.1), band(-0.5, 0.5))!);
    expect(odds).toEqual(odds.toSorted((a, b) => a - b));
    expect(odds[0]).toBeLessThan(0.85);
    expect(odds[4]).toBeGreaterThan(0.99);
  });

  it('are certain where nothing ever varied', () => {
    const limits = band(-1 / 3, 1 / 3);
    expect(nextShotOdds(sample(3, 0.2, 0), limits)).toBe(1);
    expect(nextShotOdds(sample(3, 1 / 3, 0), limits)).toBe(1);
    expect(nextShotOdds(sample(3, -0.4, 0), limits)).toBe(0);
  });

  it('need two firings and something to compare with', () => {
    expect(nextShotOdds({ n: 1, meanError: stops(0), sd: null }, band(-1, 1))).toBeNull();
    expect(nextShotOdds({ n: 0, meanError: null, sd: null }, band(-1, 1))).toBeNull();
    expect(nextShotOdds({ n: 5, meanError: null, sd: stops(0.1) }, band(-1, 1))).toBeNull();
  });

  it('are a probability, grow with the band, add up over bands side by side, and know no side', () => {
    const error = fc.double({ min: -3, max: 3, noNaN: true });
    const spread = fc.double({ min: 1e-3, max: 2, noNaN: true });
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 40 }),
        error,
        spread,
        error,
        error,
        error,
        (n, mean, sd, ...ends) => {
          const [a, b, c] = ends.toSorted((x, y) => x - y) as [number, number, number];
          const one = nextShotOdds(sample(n, mean, sd), band(a, b))!;
          const other = nextShotOdds(sample(n, mean, sd), band(b, c))!;
          const both = nextShotOdds(sample(n, mean, sd), band(a, c))!;
          expect(one).toBeGreaterThanOrEqual(0);
          expect(both).toBeLessThanOrEqual(1);
          expect(both).toBeGreaterThanOrEqual(one);
          expect(both).toBeCloseTo(one + other, 10);
          expect(nextShotOdds(sample(n, -mean, sd), band(-b, -a))).toBeCloseTo(one, 10);
        },
      ),
      { seed: 35, numRuns: 500 },
    );
  });
});
