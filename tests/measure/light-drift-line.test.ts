/** The straight line through blocks of open light, on values made by hand. */
import { describe, expect, it } from 'vitest';
import { LightCurve } from '../../app/measure/light-curve.ts';
import { lightUnrest } from '../../app/measure/light-unrest.ts';

/** 50 ms are one block of so many samples. */
const BLOCK = 500;
const BLOCKS = 10;
const LENGTH = BLOCK * BLOCKS;
const HEIGHT = 100;
/** Σ (i − 4.5)² over ten blocks. */
const SXX = 82.5;

interface Light {
  /** Codes per block. */
  readonly slope: number;
  /** Codes added to whole blocks. */
  readonly steps?: readonly number[];
  readonly noise?: number;
  readonly length?: number;
}

function drift({ slope, steps = [], noise = 0, length = LENGTH }: Light): number | undefined {
  const curve = new LightCurve(
    Float64Array.from({ length: LENGTH }, (_, i) => {
      return 110 + (slope * i) / BLOCK + (steps[Math.floor(i / BLOCK)] ?? 0);
    }),
  );
  const remarks = lightUnrest(curve, { from: 0, to: length, height: HEIGHT, noise }, 0.05 / BLOCK);
  return remarks.find(({ code }) => code === 'light drifts')?.value;
}

describe('drift of the light', () => {
  it('is the change over the whole stretch, as a share of the light', () => {
    expect(drift({ slope: 1 })).toBeCloseTo(0.1, 9);
    expect(drift({ slope: -0.5 })).toBeCloseTo(-0.05, 9);
    expect(drift({ slope: 1, length: 4.5 * BLOCK })).toBeCloseTo(0.045, 9);
  });

  it('is mentioned from 1 % on, and from four blocks', () => {
    expect(drift({ slope: 0.105 })).toBeCloseTo(0.0105, 9);
    expect(drift({ slope: 0.095 })).toBeUndefined();
    expect(drift({ slope: 1, length: 4 * BLOCK })).toBeCloseTo(0.04, 9);
    expect(drift({ slope: 1, length: 3.9 * BLOCK })).toBeUndefined();
  });

  it('must be five times what the blocks scatter by', () => {
    // Even about the middle, so that it is no slope; √(8·s² / 8 degrees of freedom) = s.
    const even = (s: number) => [s, -s, s, -s, 0, 0, -s, s, -s, s];
    const limit = Math.sqrt(SXX) / 5;
    expect(drift({ slope: 1, steps: even(0.97 * limit) })).toBeCloseTo(0.1, 9);
    expect(drift({ slope: 1, steps: even(1.03 * limit) })).toBeUndefined();
    expect(drift({ slope: -1, steps: even(1.03 * limit) })).toBeUndefined();
  });

  it('must be five times what the noise of the samples makes of a block', () => {
    const limit = (Math.sqrt(SXX) / 5) * Math.sqrt(BLOCK);
    expect(drift({ slope: 1, noise: 0.97 * limit })).toBeCloseTo(0.1, 9);
    expect(drift({ slope: 1, noise: 1.03 * limit })).toBeUndefined();
  });
});
