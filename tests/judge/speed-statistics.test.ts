import { describe, expect, it } from 'vitest';
import { judgedTime, type Reading, whyNotCounted } from '../../app/judge/counted-readings.ts';
import { addReading, NO_FIRINGS, statisticsOf, summarise } from '../../app/judge/speed-statistics.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { reading } from './sample-readings.ts';

const REFERENCE = seconds(1 / 60);

/** Straight from the definitions, in two passes. */
function direct(times: readonly number[], reference: number) {
  const mean = (xs: readonly number[]) => xs.reduce((sum, x) => sum + x, 0) / xs.length;
  const sd = (xs: readonly number[]) =>
    Math.sqrt(xs.reduce((sum, x) => sum + (x - mean(xs)) ** 2, 0) / (xs.length - 1));
  const errors = times.map((time) => Math.log2(time / reference));
  const ascending = [...times].sort((a, b) => a - b);
  const half = ascending.length / 2;
  const median =
    ascending.length % 2 === 1 ? ascending[Math.floor(half)]! : (ascending[half - 1]! + ascending[half]!) / 2;
  return {
    meanError: mean(errors),
    meanTime: times.reduce((product, time) => product * time ** (1 / times.length), 1),
    median,
    fastest: Math.min(...times),
    slowest: Math.max(...times),
    sd: sd(errors),
    range: Math.max(...errors) - Math.min(...errors),
    cv: (100 * sd(times)) / mean(times),
  };
}

describe('statistics of one mark', () => {
  it('agree with the definitions after every firing', () => {
    const random = seededRandom(20);
    const times: number[] = [];
    let running = NO_FIRINGS;
    for (let n = 1; n <= 60; n++) {
      const time = (1 / 60) * 2 ** (random() - 0.4);
      times.push(time);
      running = addReading(running, reading(time));
      const figures = summarise(running, REFERENCE);
      expect(figures.n).toBe(n);
      const expected = direct(times, REFERENCE);
      for (const [name, value] of Object.entries(expected)) {
        const found = figures[name as keyof typeof expected];
        if (n === 1 && (name === 'sd' || name === 'cv')) expect(found).toBeNull();
        else expect(found, `${name} of ${n}`).toBeCloseTo(value, 10);
      }
    }
    expect(
      statisticsOf(
        times.map((time) => reading(time)),
        REFERENCE,
      ),
    ).toEqual(summarise(running, REFERENCE));
  });

  it('are empty without firings and keep the times of a mark without a reference', () => {
    const empty = statisticsOf([], REFERENCE);
    expect(empty).toEqual({
      n: 0,
      meanError: null,
      meanTime: null,
      median: null,
      fastest: null,
      slowest: null,
      sd: null,
      range: null,
      cv: null,
    });
    const bulb = statisticsOf([reading(2), reading(8)], null);
    expect(bulb.meanError).toBeNull();
    expect(bulb.meanTime).toBeCloseTo(4, 12);
    expect(bulb.range).toBeCloseTo(2, 12);
  });

  it('leave out what does not count, whatever its time', () => {
    const good = [reading(0.016), reading(0.017), reading(0.0165)];
    const left: Reading[] = [
      { ...reading(9), firing: { spoilt: 'data missing' } },
      { ...reading(9), setAside: 'bumped the bench' },
      reading(null),
      reading(9, 'saturated'),
      reading(9, 'no open level'),
      reading(9, 'truncated end'),
      reading(9, 'reference level used', 'light changed'),
    ];
    expect(left.map(whyNotCounted)).toEqual([
      'spoilt',
      'set aside',
      'no time',
      'time not valid',
      'time not valid',
      'time not valid',
      'time not valid',
    ]);
    const mixed = [
      left[0]!,
      good[0]!,
      left[1]!,
      left[2]!,
      good[1]!,
      left[3]!,
      left[4]!,
      good[2]!,
      left[5]!,
      left[6]!,
    ];
    expect(statisticsOf(mixed, REFERENCE)).toEqual(statisticsOf(good, REFERENCE));
    const before = addReading(NO_FIRINGS, good[0]!);
    expect(addReading(before, left[0]!)).toBe(before);
  });

  it('count a firing with a remark that leaves its time standing', () => {
    for (const code of [
      'rebound',
      'detector slow',
      'reference level used',
      'low peak',
      'short dark',
    ] as const) {
      expect(whyNotCounted(reading(0.016, code))).toBeNull();
    }
  });

  it('take the open time only from a board that has nothing else', () => {
    const total = seconds(0.02);
    expect(judgedTime({ effective: null, total, remarks: [{ code: 'open time only' }] })).toBe(total);
    expect(judgedTime({ effective: null, total, remarks: [] })).toBeNull();
    expect(judgedTime({ effective: seconds(0.016), total, remarks: [] })).toBe(0.016);
    expect(judgedTime({ effective: seconds(0), total, remarks: [] })).toBeNull();
    expect(judgedTime({ effective: seconds(NaN), total, remarks: [] })).toBeNull();
  });
});
