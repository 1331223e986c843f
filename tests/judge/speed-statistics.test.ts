import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  afterRest,
  judgedTime,
  REST_SECONDS,
  type Reading,
  whyNotCounted,
} from '../../app/judge/counted-readings.ts';
import { addReading, NO_FIRINGS, statisticsOf, summarise } from '../../app/judge/speed-statistics.ts';
import type { Interval } from '../../app/judge/verdict.ts';
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

function shuffled<T>(list: readonly T[], seed: number): T[] {
  const random = seededRandom(seed);
  return list
    .map((item) => ({ item, key: random() }))
    .sort((a, b) => a.key - b.key)
    .map(({ item }) => item);
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
      meanInterval: null,
      sdInterval: null,
      nextInterval: null,
      suspect: null,
    });
    const bulb = statisticsOf(
      [2, 2.1, 2, 2.1, 8].map((time) => reading(time)),
      null,
    );
    expect(bulb.meanError).toBeNull();
    expect(bulb.meanInterval).toBeNull();
    expect(bulb.nextInterval).toBeNull();
    expect(bulb.meanTime).toBeCloseTo((2 * 2.1 * 2 * 2.1 * 8) ** (1 / 5), 12);
    expect(bulb.range).toBeCloseTo(2, 12);
    expect(bulb.sdInterval!.lower).toBeLessThan(bulb.sd!);
    expect(bulb.suspect).toBe('slowest');
  });

  it('give intervals from the second firing on, about the mean and the spread they belong to', () => {
    const one = statisticsOf([reading(0.016)], REFERENCE);
    expect([one.sd, one.meanInterval, one.sdInterval, one.nextInterval]).toEqual([null, null, null, null]);
    const two = statisticsOf([reading(0.016), reading(0.0165)], REFERENCE);
    const middle = ({ lower, upper }: Interval) => (lower + upper) / 2;
    const width = ({ lower, upper }: Interval) => upper - lower;
    expect(middle(two.meanInterval!)).toBeCloseTo(two.meanError!, 12);
    expect(middle(two.nextInterval!)).toBeCloseTo(two.meanError!, 12);
    // √(1 + 1/2) against √(1/2).
    expect(width(two.nextInterval!) / width(two.meanInterval!)).toBeCloseTo(Math.sqrt(3), 12);
    expect(two.sdInterval!.lower).toBeLessThan(two.sd!);
    expect(two.sdInterval!.upper).toBeGreaterThan(two.sd!);
  });

  it('of firings that are all alike have no spread, and no width', () => {
    const alike = statisticsOf(Array(4).fill(reading(1 / 64)), REFERENCE);
    expect(alike.sd).toBe(0);
    expect(alike.sdInterval).toEqual({ lower: 0, upper: 0 });
    expect(alike.meanInterval).toEqual({ lower: alike.meanError, upper: alike.meanError });
    expect(alike.nextInterval).toEqual(alike.meanInterval);
    expect(alike.suspect).toBeNull();
  });

  it('do not depend on the order of the firings', () => {
    // Whole thousandths of a stop, so that equal times and ties at both ends come up.
    const errors = fc.array(fc.integer({ min: -600, max: 600 }), { minLength: 2, maxLength: 30 });
    fc.assert(
      fc.property(errors, fc.integer(), (thousandths, seed) => {
        const firings = thousandths.map((error) => reading(2 ** (error / 1000) / 60));
        const one = statisticsOf(firings, REFERENCE);
        const other = statisticsOf(shuffled(firings, seed), REFERENCE);
        for (const name of ['n', 'median', 'fastest', 'slowest', 'range', 'suspect'] as const) {
          expect(other[name], name).toBe(one[name]);
        }
        for (const name of ['meanError', 'meanTime', 'sd', 'cv'] as const) {
          expect(other[name]!, name).toBeCloseTo(one[name]!, 10);
        }
        for (const name of ['meanInterval', 'sdInterval', 'nextInterval'] as const) {
          for (const end of ['lower', 'upper'] as const) {
            expect(other[name]![end], name).toBeCloseTo(one[name]![end], 8);
          }
        }
      }),
      { seed: 30, numRuns: 300 },
    );
  });

  it('keep their spread wherever the times lie: a longer mark with the same errors has the same figures', () => {
    const errors = [0.11, -0.07, 0.02, 0.3, -0.01];
    const at = (mark: number) =>
      statisticsOf(
        errors.map((error) => reading(mark * 2 ** error)),
        seconds(mark),
      );
    const [short, long] = [at(1 / 500), at(4)];
    for (const name of ['meanError', 'sd', 'range', 'cv'] as const) {
      expect(long[name]).toBeCloseTo(short[name]!, 10);
    }
    expect(long.suspect).toBe(short.suspect);
  });

  it('of an earlier moment stay what they were when a firing is added', () => {
    const three = [0.016, 0.017, 0.0165].map((time) => reading(time)).reduce(addReading, NO_FIRINGS);
    const before = structuredClone(three);
    addReading(three, reading(0.01655));
    expect(three).toEqual(before);
  });

  it('keep the first firing after a rest apart, unless the shutter was exercised', () => {
    const rested = (rest: number | null, exercised = false): Reading => ({ ...reading(9), rest, exercised });
    expect(whyNotCounted(rested(REST_SECONDS))).toBe('after rest');
    expect(whyNotCounted(rested(86_400))).toBe('after rest');
    expect(whyNotCounted(rested(REST_SECONDS - 1))).toBeNull();
    expect(whyNotCounted(rested(null))).toBeNull();
    expect(whyNotCounted(rested(86_400, true))).toBeNull();
    // A reason that lies in the firing itself is named first.
    expect(whyNotCounted({ ...rested(86_400), setAside: 'bumped the bench' })).toBe('set aside');
    expect(whyNotCounted({ ...rested(86_400), firing: { spoilt: 'silence' } })).toBe('spoilt');
    expect(afterRest(rested(86_400))).toBe(true);
    const good = [reading(0.016), reading(0.017)];
    expect(statisticsOf([rested(REST_SECONDS), ...good], REFERENCE)).toEqual(statisticsOf(good, REFERENCE));
  });

  it('does not count a time read against a level that its light comes nowhere near', () => {
    const peaking = (value: number): Reading => {
      const sound = reading(0.004);
      return { ...sound, figures: { ...sound.figures, remarks: [{ code: 'low peak', value }] } };
    };
    expect(whyNotCounted(peaking(0.85))).toBeNull();
    expect(whyNotCounted(peaking(0.7))).toBeNull();
    expect(whyNotCounted(peaking(0.69))).toBe('time not valid');
    expect(whyNotCounted(peaking(0.12))).toBe('time not valid');
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
      'flicker 100 Hz',
      'flicker 120 Hz',
      'light drifts',
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
