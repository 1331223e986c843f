import { describe, expect, it } from 'vitest';
import { meterResult } from '../../app/judge/exposure-meter.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { judged, meterTest } from './sample-meter-test.ts';

describe('the error at each point', () => {
  it('is what was read less what the light asks for at the film speed set', () => {
    const { points } = meterResult({
      ...meterTest([]),
      iso: 400,
      points: [
        { id: 'a', light: 8, reading: { ev: 8.5 }, note: '' },
        { id: 'b', light: 8, reading: { fNumber: 5.6, seconds: 1 / 4 }, note: '' },
        { id: 'c', light: 8, reading: { fNumber: 5, seconds: 1 / 4 }, note: '' },
      ],
    });
    expect(points.map(({ id, expected }) => [id, expected])).toEqual([
      ['a', 8],
      ['b', 8],
      ['c', 8],
    ]);
    expect(points.map(({ read }) => read)).toEqual([8.5, 7, 2 * Math.log2(5) + 2]);
    expect(points.map(({ error }) => error)).toEqual([0.5, -1, 2 * Math.log2(5) - 6]);
  });

  it('of light falling in goes by C', () => {
    const { points } = meterResult({
      ...meterTest([]),
      constant: { kind: 'C', value: 250 },
      points: [{ id: 'a', light: 40, reading: { ev: 4.25 }, note: '' }],
    });
    expect(points[0]).toEqual({ id: 'a', expected: 4, read: 4.25, error: 0.25 });
  });
});

describe('mean, spread and slope', () => {
  it('are missing as long as there is nothing to take them of', () => {
    expect(judged([])).toMatchObject({
      mean: null,
      range: null,
      spread: null,
      slope: null,
      meanInterval: null,
    });
    expect(judged([[8, 0.5]])).toMatchObject({ mean: 0.5, spread: null, slope: null, meanInterval: null });
    expect(
      judged([
        [8, 0],
        [12, 1],
      ]),
    ).toMatchObject({ mean: 0.5, slope: null, range: { lower: 8, upper: 12 } });
    expect(
      judged([
        [8, 0.1],
        [8, 0],
        [8, 0.2],
      ]).slope,
    ).toBeNull();
  });

  it('the slope of a tired cell is found with its interval', () => {
    // Read 0.8 EV for each EV, with ±0.05 on top: residuals known, t(0.975, 2) = 4.3027 (NIST table).
    const result = judged(
      [4, 8, 12, 16].map((ev, i) => [ev, -0.2 * (ev - 4) + [0.05, -0.05, -0.05, 0.05][i]!]),
    );
    expect(result.slope!.value).toBeCloseTo(0.8, 12);
    const half = 4.3027 * Math.sqrt((4 * 0.05 ** 2) / 2 / 80);
    expect(result.slope!.interval.upper - result.slope!.value).toBeCloseTo(half, 5);
    expect(result.slope!.value - result.slope!.interval.lower).toBeCloseTo(half, 5);
  });

  it('the interval of the slope holds the truth in 94 to 96 of a hundred tests', () => {
    const normal = seededNormal(seededRandom(20260501));
    let held = 0;
    const tests = 5000;
    for (let i = 0; i < tests; i++) {
      const { slope } = judged([6, 8, 10, 12, 14].map((ev) => [ev, -0.1 * ev + 0.15 * normal()]));
      if (slope!.interval.lower <= 0.9 && slope!.interval.upper >= 0.9) held++;
    }
    expect(held / tests).toBeGreaterThan(0.94);
    expect(held / tests).toBeLessThan(0.96);
  });

  it('carries the light’s uncertainty in the mean, however many points there are', () => {
    const errors = Array.from({ length: 40 }, (_, i) => [5 + 0.25 * i, i % 2 === 0 ? 0.01 : -0.01] as const);
    const { meanInterval } = judged(errors, { source: { words: 'lamp', uncertainty: stops(0.3) } });
    expect(meanInterval!.upper).toBeCloseTo(0.3, 2);
    const unstated = judged(errors, { source: { words: 'lamp', uncertainty: null } });
    expect(unstated.meanInterval!.upper).toBeLessThan(0.01);
  });
});
