/** Noiseless curves whose figures can be counted. */
import { describe, expect, it } from 'vitest';
import type { RemarkCode } from '../../app/measure/figures.ts';
import { measureCurve } from '../../app/measure/measure-curve.ts';
import { type KnownOpening, openFraction } from './known-light.ts';

const SECONDS_PER_SAMPLE = 1e-4;
const BEFORE = 1000;

/** Dark of 10, then the opening in samples of 0.1 ms, dark again. */
function samplesOf(opening: KnownOpening, height: number, before = BEFORE, after = 1500): Float64Array {
  const lit = opening.rise + opening.open + opening.fall;
  return Float64Array.from(
    { length: before + lit + after },
    (_, i) => 10 + height * openFraction(opening, i - before),
  );
}

const measured = (samples: ArrayLike<number>, reference: number | null = null) =>
  measureCurve(
    { samples, secondsPerSample: SECONDS_PER_SAMPLE, fullScale: 255 },
    { reference: reference === null ? null : { height: reference, uncertainty: 0, drift: 0 } },
  );

const PLAIN = { shape: 'straight', rise: 40, open: 400, fall: 40 } as const;
/** Edges so long that the running mean's width stays clear of their corners. */
const SLOW = { shape: 'straight', rise: 400, open: 400, fall: 400 } as const;
const TRIANGLE = { shape: 'straight', rise: 200, open: 0, fall: 200 } as const;

const remarkOf = (samples: ArrayLike<number>, wanted: RemarkCode) =>
  measured(samples).remarks.find(({ code }) => code === wanted)?.value;

describe('a light that is clipped', () => {
  const top = (open: number, full: number) => {
    const samples = samplesOf({ ...PLAIN, open }, 240);
    for (let i = 0; i < full; i++) samples[BEFORE + 45 + 7 * i] = 255;
    return remarkOf(samples, 'saturated');
  };

  it('shows by two samples on a short top, and by one in a hundred on a long one', () => {
    expect(top(100, 2)).toBeCloseTo(250, 0);
    expect(top(100, 1)).toBeUndefined();
    expect(top(2000, 25)).toBeDefined();
    expect(top(2000, 15)).toBeUndefined();
  });
});

describe('a curve that never comes up to the open level', () => {
  it('has its highest point for fully open and start of closing, and no full edges', () => {
    const figures = measured(samplesOf(TRIANGLE, 180), 200);
    const peak = (BEFORE + 200) * SECONDS_PER_SAMPLE;
    expect(figures.instants!.fullOpen).toBeCloseTo(peak, 12);
    expect(figures.instants!.closingStart).toBeCloseTo(peak, 12);
    expect(figures).toMatchObject({ openingFull: null, closingFull: null });
    expect(figures.effective).toBeCloseTo((180 / 200) * 200 * SECONDS_PER_SAMPLE, 9);
  });

  it('has full edges where it does', () => {
    const figures = measured(samplesOf(SLOW, 200));
    // From 1 % to 99 % of straight edges of 40 ms; a few samples of the edges count as plateau and cost 0.5 µs.
    expect(figures.openingFull).toBeCloseTo(0.98 * 0.04, 5);
    expect(figures.closingFull).toBeCloseTo(0.98 * 0.04, 5);
    expect(figures.opening).toBeCloseTo(0.8 * 0.04, 5);
    expect(figures.closing).toBeCloseTo(0.8 * 0.04, 5);
    expect(figures.fullyOpen).toBeCloseTo(0.04 + 2 * 0.05 * 0.04, 5);
    expect(figures.total).toBeCloseTo(0.04 + 2 * 0.99 * 0.04, 5);
    expect(figures.halfHeight).toBeCloseTo(0.08, 5);
    expect(figures.effective).toBeCloseTo(0.08, 5);
    expect(figures.efficiency).toBeCloseTo(0.08 / 0.1192, 3);
  });
});

describe('a record that is not whole', () => {
  it('says how long the light lasted from its beginning', () => {
    const figures = measured(samplesOf(PLAIN, 200).slice(BEFORE + 240));
    const start = figures.remarks.find(({ code }) => code === 'truncated start')!;
    expect(start.value).toBeCloseTo(0.024, 3);
    expect(figures.effective).toBeNull();
  });

  it('says how long the light had lasted at its end', () => {
    const figures = measured(samplesOf(PLAIN, 200).slice(0, BEFORE + 240));
    expect(figures.remarks.map(({ code }) => code)).toEqual(['never closed']);
    expect(figures.remarks[0]!.value).toBeCloseTo(0.024, 3);
  });

  it('is asked for flicker while the shutter stays open, from 5 ms on and by 50 ms', () => {
    const open = (milliseconds: number) =>
      samplesOf({ ...PLAIN, open: 2000 }, 200)
        .slice(0, BEFORE + 40 + 10 * milliseconds)
        .map((value, i) =>
          i < BEFORE ? value : 10 + (value - 10) * (1 + 0.03 * Math.sin(0.02 * Math.PI * i)),
        );
    expect(remarkOf(open(53), 'flicker 100 Hz')).toBeUndefined();
    expect(remarkOf(open(58), 'flicker 100 Hz')).toBeCloseTo(0.03, 2);
  });

  it('is not asked for it when it began in the light', () => {
    const samples = samplesOf({ ...PLAIN, open: 2000 }, 200).slice(BEFORE + 240);
    const flickering = samples.map(
      (value, i) => 10 + (value - 10) * (1 + 0.03 * Math.sin(0.02 * Math.PI * i)),
    );
    expect(measured(flickering).remarks.map(({ code }) => code)).not.toContain('flicker 100 Hz');
  });

  it('says how short the dark before it was', () => {
    const figures = measured(samplesOf(PLAIN, 200, 200, 1500).slice(0, 200 + 480 + 300));
    expect(figures.remarks.find(({ code }) => code === 'short dark')!.value).toBeLessThan(0.02);
    expect(figures.remarks.find(({ code }) => code === 'short dark')!.value).toBeGreaterThan(0.01);
    expect(remarkOf(samplesOf(PLAIN, 200), 'short dark')).toBeUndefined();
  });
});

describe('dark', () => {
  it('after the exposure that stays above the one before is a glow', () => {
    const samples = samplesOf(PLAIN, 200);
    for (let i = BEFORE + 480; i < samples.length; i++) samples[i]! += 6;
    expect(remarkOf(samples, 'glow after closing')).toBeCloseTo(6 / 200, 9);
    const faint = samplesOf(PLAIN, 200);
    for (let i = BEFORE + 480; i < faint.length; i++) faint[i]! += 1.9;
    expect(remarkOf(faint, 'glow after closing')).toBeUndefined();
    // Then before and after count alike.
    expect(measured(faint).levels!.dark).toBeCloseTo(10.95, 9);
  });
});
