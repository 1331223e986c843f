/** Exposure values and meter constants against published tables. */
import { describe, expect, it } from 'vitest';
import { meterResult } from '../../app/judge/exposure-meter.ts';
import {
  CONSTANT_RANGE,
  exposureValueOfLight,
  exposureValueOfSetting,
} from '../../app/judge/exposure-values.ts';
import type { MeterTest } from '../../app/judge/meter-test.ts';

describe('light at ISO 100 (published EV tables, K = 12.5 and C = 250)', () => {
  it.each([
    [0, 0.125],
    [3, 1],
    [6, 8],
    [15, 4096],
  ])('EV %d is %f cd/m²', (ev, luminance) => {
    expect(exposureValueOfLight(luminance, 100, 12.5)).toBeCloseTo(ev, 12);
  });

  it.each([
    [0, 2.5],
    [4, 40],
    [15, 81_920],
  ])('EV %d is %f lx', (ev, illuminance) => {
    expect(exposureValueOfLight(illuminance, 100, 250)).toBeCloseTo(ev, 12);
  });
});

it('f/16 at one over the film speed is 3200 cd/m² (ANSI example, as discussed on a photographic forum)', () => {
  for (const iso of [25, 100, 125, 400, 1000]) {
    // Of the exact time: log2(256 · S) against log2(L · S / 12.5).
    expect(exposureValueOfLight(3200, iso, 12.5)).toBeCloseTo(Math.log2(256 * iso), 12);
  }
});

describe('settings (published EV tables)', () => {
  it.each([
    [16, 1 / 125, 15],
    [5.6, 1 / 125, 12],
    [4, 1 / 250, 12],
    [8, 1 / 60, 12],
    [1, 1, 0],
    [1.4, 1, 1],
    [2.8, 1 / 30, 8],
    [22, 1 / 1000, 19],
    [32, 1 / 500, 19],
    [4, 2, 3],
    [2, 30, -3],
  ])('f/%f and %f s are EV %d, as engraved', (fNumber, time, ev) => {
    expect(exposureValueOfSetting(fNumber, time)).toBe(ev);
  });

  it('taken by the letter, f/16 and 1/125 would be log2(256 · 125) = 14.9658: within 0.04 of the table', () => {
    expect(Math.log2(16 ** 2 * 125)).toBeCloseTo(14.9658, 4);
    expect(exposureValueOfSetting(16, 1 / 125) - Math.log2(16 ** 2 * 125)).toBeCloseTo(0.0342, 4);
  });
});

describe('Av and Tv of whole steps (Exif, annex on APEX; from memory)', () => {
  it.each('1 1.4 2 2.8 4 5.6 8 11 16 22 32'.split(' ').map((label, av) => [Number(label), av] as const))(
    'f/%f is Av %d',
    (fNumber, av) => {
      expect(exposureValueOfSetting(fNumber, 1)).toBe(av);
    },
  );

  it.each([
    [30, -5],
    [15, -4],
    [8, -3],
    [4, -2],
    [2, -1],
    [1, 0],
    [1 / 2, 1],
    [1 / 4, 2],
    [1 / 8, 3],
    [1 / 15, 4],
    [1 / 30, 5],
    [1 / 60, 6],
    [1 / 125, 7],
    [1 / 250, 8],
    [1 / 500, 9],
    [1 / 1000, 10],
    [1 / 2000, 11],
  ])('%f s is Tv %d', (time, tv) => {
    expect(exposureValueOfSetting(1, time)).toBe(tv);
  });
});

it('K from 10.6 to 13.4 (ISO 2720) is 0.34 EV', () => {
  const { from, to } = CONSTANT_RANGE.K;
  const difference = exposureValueOfLight(100, 100, from) - exposureValueOfLight(100, 100, to);
  expect(difference).toBeCloseTo(0.34, 2);
});

it('a meter that shows what the tables say is right at each point', () => {
  const test: MeterTest = {
    notation: 'EV',
    iso: 100,
    constant: { kind: 'K', value: 12.5 },
    cell: 'silicon',
    battery: null,
    source: { words: '', uncertainty: null },
    points: [
      [0, 0.125],
      [3, 1],
      [6, 8],
      [15, 4096],
    ].map(([ev, light]) => ({ id: String(ev), light: light!, reading: { ev: ev! }, note: '' })),
  };
  const { points, slope, advice } = meterResult(test);
  expect(points.map(({ error }) => error)).toEqual([0, 0, 0, 0]);
  expect(slope!.value).toBeCloseTo(1, 12);
  expect(advice).toBe('usable');
});
