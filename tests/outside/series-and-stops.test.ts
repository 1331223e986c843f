import { describe, expect, it } from 'vitest';
import { BAND_PRESETS, percentToStops, stopsToPercent } from '../../app/judge/bands.ts';
import { errorInStops, referenceTime } from '../../app/judge/error-in-stops.ts';
import { BUILT_IN_SERIES } from '../../app/judge/series.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { speedVerdict } from '../../app/judge/speed-verdict.ts';
import type { ReferenceRule } from '../../app/judge/verdict.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from '../judge/sample-readings.ts';

const doubling = BUILT_IN_SERIES.find(({ id }) => id === 'doubling')!;
const older = BUILT_IN_SERIES.find(({ id }) => id === 'older')!;
const mark = (label: string) => doubling.speeds.find((speed) => speed.label === label)!;

describe('marked against exact times (JIS B 7091:1992, ISO 516)', () => {
  it.each([
    ['4', 4, 0],
    ['2', 2, 0],
    ['1', 1, 0],
    ['1/2', 1 / 2, 0],
    ['1/4', 1 / 4, 0],
    ['1/8', 1 / 8, 0],
    ['1/15', 1 / 16, 0.0931],
    ['1/30', 1 / 32, 0.0931],
    ['1/60', 1 / 64, 0.0931],
    ['1/125', 1 / 128, 0.0342],
    ['1/250', 1 / 256, 0.0342],
    ['1/500', 1 / 512, 0.0342],
    ['1/1000', 1 / 1024, 0.0342],
  ])('%s', (label, exact, difference) => {
    const speed = mark(label);
    expect(speed.exact).toBe(exact);
    expect(errorInStops(speed.marked!, speed.exact!)).toBeCloseTo(difference, 4);
  });

  it('older series stand for what they say', () => {
    expect(older.speeds.every(({ exact }) => exact === null)).toBe(true);
  });
});

describe('Tv = −log2 t (Exif, APEX)', () => {
  it.each([
    ['1/5', 2.3219],
    ['1/10', 3.3219],
    ['1/25', 4.6439],
    ['1/50', 5.6439],
    ['1/100', 6.6439],
    ['1/250', 7.9658],
    ['1/500', 8.9658],
  ])('of the older mark %s', (label, tv) => {
    const { marked } = older.speeds.find((speed) => speed.label === label)!;
    expect(-errorInStops(marked!, seconds(1))).toBeCloseTo(tv, 4);
  });

  it('6.906 is 1/119.93 s', () => {
    expect(-errorInStops(seconds(1 / 119.93), seconds(1))).toBeCloseTo(6.906, 4);
  });
});

describe('stops and percent (arithmetic)', () => {
  it.each([
    [1 / 3, 25.99],
    [-1 / 3, -20.63],
    [1 / 2, 41.42],
    [-1 / 2, -29.29],
  ])('%f EV', (error, percent) => {
    expect(stopsToPercent(stops(error))).toBeCloseTo(percent, 2);
    expect(percentToStops(stopsToPercent(stops(error)))).toBeCloseTo(error, 12);
  });

  it.each([
    [20, 0.263],
    [-20, -0.3219],
  ])('%d %%', (percent, error) => {
    expect(percentToStops(percent)).toBeCloseTo(error, 4);
  });
});

/**
 * A Tokyo camera shop (photbunmeido, 2025-11-20) publishes its practice: the mean of three firings within
 * ±1/2 stop, ±1/3 for reversal film; a 1/60 passes from 1/45 to 1/90.
 */
describe('a shop’s published rule', () => {
  const half = BAND_PRESETS.find(({ purpose }) => purpose === 'negative film')!.band;
  const third = BAND_PRESETS.find(({ purpose }) => purpose === 'reversal film')!.band;

  function verdict(denominator: number, rule: ReferenceRule, band = half) {
    const speed = mark('1/60');
    const firings = [0.99, 1, 1 / 0.99].map((factor) => reading(factor / denominator));
    const statistics = statisticsOf(firings, referenceTime(speed, rule));
    return speedVerdict({ mark: speed, statistics, outcome: null, band, least: 3, guard: stops(0) });
  }

  it('is about the exact 1/64, not about 1/60', () => {
    expect(verdict(88, 'exact')).toBe('within');
    expect(verdict(88, 'marked')).toBe('fast');
    expect(verdict(44, 'exact')).toBe('slow');
    expect(verdict(44, 'marked')).toBe('within');
  });

  it('passes 1/45.3 to 1/90.5 about 1/64 and 1/42.4 to 1/84.9 about 1/60', () => {
    for (const [rule, slowest, fastest] of [
      ['exact', 45.25, 90.51],
      ['marked', 42.43, 84.85],
    ] as const) {
      expect(verdict(slowest + 0.02, rule)).toBe('within');
      expect(verdict(slowest - 0.02, rule)).toBe('slow');
      expect(verdict(fastest - 0.02, rule)).toBe('within');
      expect(verdict(fastest + 0.02, rule)).toBe('fast');
    }
  });

  it('is narrower for reversal film', () => {
    expect(verdict(48, 'exact')).toBe('within');
    expect(verdict(48, 'exact', third)).toBe('slow');
  });

  it('asks for three firings', () => {
    const speed = mark('1/60');
    const statistics = statisticsOf([reading(1 / 64), reading(1 / 64)], speed.exact);
    expect(
      speedVerdict({ mark: speed, statistics, outcome: null, band: half, least: 3, guard: stops(0) }),
    ).toBe('too few');
  });
});
