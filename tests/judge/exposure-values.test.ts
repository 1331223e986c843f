import { describe, expect, it } from 'vitest';
import { meterResult } from '../../app/judge/exposure-meter.ts';
import { exposureValueOfLight, exposureValueOfSetting } from '../../app/judge/exposure-values.ts';
import { meterTest } from './sample-meter-test.ts';

describe('settings as they are engraved or written', () => {
  it('whole steps stand for their exact values, also as decimals', () => {
    expect(exposureValueOfSetting(5.6, 0.0167)).toBe(11);
    expect(exposureValueOfSetting(11, 0.5)).toBe(8);
  });

  it('everything between is taken as written', () => {
    expect(exposureValueOfSetting(6, 1)).toBeCloseTo(2 * Math.log2(6), 12);
    expect(exposureValueOfSetting(1, 1 / 50)).toBeCloseTo(Math.log2(50), 12);
    expect(exposureValueOfSetting(1, 1 / 64)).toBeCloseTo(6, 12);
  });

  it('a third or half of a stop engraved is within 0.1 stop of that', () => {
    const thirds =
      '1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22';
    thirds.split(' ').forEach((label, index) => {
      if (label === '1.2') return; // a half and a third share this engraving: 2^0.25 or 2^(1/3)
      expect(Math.abs(exposureValueOfSetting(Number(label), 1) - index / 3), label).toBeLessThan(0.1);
    });
    const times = '1/6 1/10 1/13 1/20 1/25 1/40 1/50 1/80 1/100 1/160 1/200'.split(' ');
    const tvs = [8, 10, 11, 13, 14, 16, 17, 19, 20, 22, 23].map((third) => third / 3);
    times.forEach((label, index) => {
      const time = 1 / Number(label.slice(2));
      expect(Math.abs(exposureValueOfSetting(1, time) - tvs[index]!), label).toBeLessThan(0.1);
    });
  });

  it.each([0, -5.6, Number.NaN, Number.POSITIVE_INFINITY])('refuses %d', (bad) => {
    expect(() => exposureValueOfSetting(bad, 1)).toThrow(RangeError);
    expect(() => exposureValueOfSetting(8, bad)).toThrow(/The time must be a number above zero/);
    expect(() => exposureValueOfLight(bad, 100, 12.5)).toThrow(/strength of the light/);
    expect(() => exposureValueOfLight(8, bad, 12.5)).toThrow(/film speed/);
    expect(() => exposureValueOfLight(8, 100, bad)).toThrow(/constant of the meter/);
    const points = [{ id: 'a', light: 1, reading: { ev: bad - bad }, note: '' }];
    if (!Number.isFinite(bad)) expect(() => meterResult({ ...meterTest([]), points })).toThrow(RangeError);
  });
});
