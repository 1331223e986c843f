/** The fully open stretch on curves made by hand, without noise of their own. */
import { describe, expect, it } from 'vitest';
import { findPlateau } from '../../app/measure/levels.ts';
import { LightCurve } from '../../app/measure/light-curve.ts';
import { locateExposure } from '../../app/measure/locate-exposure.ts';

const SECONDS_PER_SAMPLE = 1e-4;
const BEFORE = 1000;

/** Straight edges of `edge` samples about `open` samples at 210 codes, changed by `more`; dark is 10. */
function plateau(edge: number, open: number, noise = 0.5, more: (n: number) => number = () => 0) {
  const values = Float64Array.from({ length: 2 * BEFORE + 2 * edge + open }, (_, i) => {
    const share = Math.max(0, Math.min(1, (i - BEFORE) / edge, (BEFORE + 2 * edge + open - i) / edge));
    return 10 + 200 * share + (share === 1 ? more(i - BEFORE - edge) : 0);
  });
  const curve = new LightCurve(values);
  return findPlateau(curve, locateExposure(curve, SECONDS_PER_SAMPLE)!, noise, SECONDS_PER_SAMPLE);
}

describe('the fully open stretch', () => {
  it.each([
    [20, 100],
    [100, 100],
    [100, 600],
    [400, 1000],
  ])('between edges of %i samples that is %i long ends where the edges begin', (edge, open) => {
    const found = plateau(edge, open)!;
    expect(Math.abs(found.from - (BEFORE + edge))).toBeLessThanOrEqual(2);
    expect(Math.abs(found.to - (BEFORE + edge + open + 1))).toBeLessThanOrEqual(2);
    expect(found.level).toBeCloseTo(210, 1);
  });

  it('has twenty samples at least', () => {
    expect(plateau(100, 26)).not.toBeNull();
    expect(plateau(100, 14)).toBeNull();
    expect(plateau(100, 0)).toBeNull();
  });

  it('is none where a short top is not flat to the noise', () => {
    const wave = (n: number) => 2 * Math.sin(n / 2);
    expect(plateau(20, 100, 0.5, wave)).toBeNull();
    expect(plateau(20, 100, 1.4, wave)).not.toBeNull();
    // From 20 ms of open light on it may ripple by 3 % of the light.
    expect(plateau(20, 400, 0.5, wave)).not.toBeNull();
    expect(plateau(20, 400, 0.5, (n) => 12 * Math.sin(n / 2))).toBeNull();
  });
});
