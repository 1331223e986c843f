/** Rebound on curves made by hand, whose area, height and instants can be counted. */
import { describe, expect, it } from 'vitest';
import { LightCurve } from '../../app/measure/light-curve.ts';
import { findRebound } from '../../app/measure/rebound.ts';

const SECONDS_PER_SAMPLE = 1e-4;
const HEIGHT = 200;
/** The curve stands half a code above the dark it is measured from, so that the ends of the integral show. */
const DARK = 10;
const BASE = 10.5;

interface Bump {
  /** First sample, and the one behind the last. */
  readonly from: number;
  readonly to: number;
  /** In codes above the base. */
  readonly light: number;
}

/** The exposure's light has gone at sample 100; the window of 60 ms ends at 700. */
function rebound(bumps: readonly Bump[], { length = 1000, after = 100, noise = 0.5 } = {}) {
  const values = Float64Array.from({ length }, (_, i) =>
    bumps.reduce((sum, { from, to, light }) => sum + (i >= from && i < to ? light : 0), BASE),
  );
  return findRebound(new LightCurve(values), after, 100, DARK, HEIGHT, noise, SECONDS_PER_SAMPLE);
}

describe('rebound', () => {
  it('is weighed from where it begins to where it ends, with a quarter of its length on either side', () => {
    const found = rebound([{ from: 300, to: 320, light: 20 }])!;
    // Means of five samples stand out from 298 to 321; 23 / 4 + 1 samples more before and behind.
    const area = 20 * 20 + 0.5 * (23 + 2 * 6.75);
    expect(found.effective).toBeCloseTo((area / HEIGHT) * SECONDS_PER_SAMPLE, 12);
    expect(found.peak).toBeCloseTo(20.5 / HEIGHT, 12);
    expect(found.delay).toBeCloseTo((302 - 100) * SECONDS_PER_SAMPLE, 12);
  });

  it('that begins within the window counts to its end, its highest light too', () => {
    const found = rebound([
      { from: 690, to: 721, light: 10 },
      { from: 705, to: 721, light: 20 },
    ])!;
    const area = 31 * 10 + 16 * 20 + 0.5 * (722 - 688 + 2 * (34 / 4 + 1));
    expect(found.effective).toBeCloseTo((area / HEIGHT) * SECONDS_PER_SAMPLE, 12);
    expect(found.peak).toBeCloseTo(30.5 / HEIGHT, 12);
    expect(found.delay).toBeCloseTo((707 - 100) * SECONDS_PER_SAMPLE, 12);
  });

  it('that lasts to the end of the record is weighed to there', () => {
    const found = rebound([{ from: 690, to: 710, light: 20 }], { length: 710 })!;
    // The last sample ends the integral: nineteen and a half of them, and the rise before the first.
    const area = 19.5 * 20 + 0.5 * (709 - (688 - (709 - 688) / 4 - 1));
    expect(found.effective).toBeCloseTo((area / HEIGHT) * SECONDS_PER_SAMPLE, 12);
  });

  it('that comes twice is weighed from the first time to the last', () => {
    const found = rebound([
      { from: 300, to: 320, light: 20 },
      { from: 400, to: 420, light: 30 },
    ])!;
    const area = 20 * 20 + 20 * 30 + 0.5 * (123 + 2 * (123 / 4 + 1));
    expect(found.effective).toBeCloseTo((area / HEIGHT) * SECONDS_PER_SAMPLE, 12);
    expect(found.delay).toBeCloseTo((402 - 100) * SECONDS_PER_SAMPLE, 12);
  });

  it('shares no light with the exposure before it', () => {
    const found = rebound([{ from: 101, to: 121, light: 20 }], { after: 100.5 })!;
    // From 100.5 on, halfway up to the first sample; to a quarter of 101 … 122 and one more behind it.
    const area = 7.5 + 19 * 20 + 10 + 0.5 * (122 + 21 / 4 + 1 - 100.5);
    expect(found.effective).toBeCloseTo((area / HEIGHT) * SECONDS_PER_SAMPLE, 12);
  });

  it('is seen from 3 % of the light, and from five times the noise', () => {
    const steady = (light: number, noise: number) => rebound([{ from: 300, to: 320, light }], { noise });
    expect(steady(5.6, 0.5)).not.toBeNull();
    expect(steady(5.4, 0.5)).toBeNull();
    expect(steady(9.6, 2)).not.toBeNull();
    expect(steady(9.4, 2)).toBeNull();
  });

  it('after 60 ms is none', () => {
    expect(rebound([{ from: 697, to: 720, light: 20 }])).not.toBeNull();
    expect(rebound([{ from: 702, to: 720, light: 20 }])).toBeNull();
    expect(rebound([])).toBeNull();
  });
});
