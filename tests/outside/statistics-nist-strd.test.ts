/**
 * Mean and standard deviation against the certified values of the NIST Statistical Reference Datasets
 * (StRD), Univariate Summary Statistics: www.itl.nist.gov/div898/strd.
 */
import { describe, expect, it } from 'vitest';
import { addValue, NO_MOMENTS, standardDeviation } from '../../app/judge/running-moments.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { reading } from '../judge/sample-readings.ts';

const numbers = (text: string) => text.trim().split(/\s+/).map(Number);

const MICHELSO = numbers(`
  299.85 299.74 299.90 300.07 299.93 299.85 299.95 299.98 299.98 299.88 300.00 299.98 299.93 299.65 299.76
  299.81 300.00 300.00 299.96 299.96 299.96 299.94 299.96 299.94 299.88 299.80 299.85 299.88 299.90 299.84
  299.83 299.79 299.81 299.88 299.88 299.83 299.80 299.79 299.76 299.80 299.88 299.88 299.88 299.86 299.72
  299.72 299.62 299.86 299.97 299.95 299.88 299.91 299.85 299.87 299.84 299.84 299.85 299.84 299.84 299.84
  299.89 299.81 299.81 299.82 299.80 299.77 299.76 299.74 299.75 299.76 299.91 299.92 299.89 299.86 299.88
  299.72 299.84 299.85 299.85 299.78 299.89 299.84 299.78 299.81 299.76 299.81 299.79 299.81 299.82 299.85
  299.87 299.87 299.81 299.74 299.81 299.94 299.95 299.80 299.81 299.87`);

/** Each is 2 plus so many hundred-thousandths. */
const MAVRO = numbers(`
  180 170 180 190 180 170 150 140 150 150 170 180 180 190 190 210 200 160 140 130 130 150 150 160 150
  140 130 140 150 140 150 160 150 160 190 200 200 210 220 230 240 250 270 260 260 260 270 260 250 240`).map(
  (n) => 2 + n * 1e-5,
);

/** First value, then `low` and `high` by turns, 500 times. */
const alternating = (first: number, low: number, high: number) => [
  first,
  ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? low : high)),
];

/**
 * Digits of the SD that must agree. The last decimal of NumAcc3 and NumAcc4 is not exact in a double: their SD
 * can't be had to more than about ten and nine digits by any method.
 */
const SETS = [
  { name: 'Michelso', data: MICHELSO, n: 100, mean: 299.8524, sd: 0.0790105478190518, digits: 11 },
  { name: 'Mavro', data: MAVRO, n: 50, mean: 2.001856, sd: 0.000429123454003053, digits: 11 },
  { name: 'NumAcc1', data: [10000001, 10000003, 10000002], n: 3, mean: 10000002, sd: 1, digits: 15 },
  { name: 'NumAcc2', data: alternating(1.2, 1.1, 1.3), n: 1001, mean: 1.2, sd: 0.1, digits: 13 },
  {
    name: 'NumAcc3',
    data: alternating(1000000.2, 1000000.1, 1000000.3),
    n: 1001,
    mean: 1000000.2,
    sd: 0.1,
    digits: 9,
  },
  {
    name: 'NumAcc4',
    data: alternating(10000000.2, 10000000.1, 10000000.3),
    n: 1001,
    mean: 10000000.2,
    sd: 0.1,
    digits: 8,
  },
];

const relative = (found: number, certified: number) => Math.abs(found / certified - 1);

describe('running moments', () => {
  it.each(SETS)('of $name', ({ data, n, mean, sd, digits }) => {
    const moments = data.reduce(addValue, NO_MOMENTS);
    expect(moments.n).toBe(n);
    expect(relative(moments.mean, mean)).toBeLessThan(1e-14);
    expect(relative(standardDeviation(moments)!, sd)).toBeLessThan(10 ** -digits);
  });

  it('are put to the test by NumAcc4: the sum of squares fails it', () => {
    const { data, sd } = SETS[5]!;
    const mean = data.reduce((sum, x) => sum + x, 0) / data.length;
    const squares = data.reduce((sum, x) => sum + x * x, 0);
    const variance = (squares - data.length * mean ** 2) / (data.length - 1);
    expect(Math.abs(variance / sd ** 2 - 1)).toBeGreaterThan(0.01);
  });

  it('have no standard deviation under two values', () => {
    expect(standardDeviation(NO_MOMENTS)).toBeNull();
    expect(standardDeviation(addValue(NO_MOMENTS, 5))).toBeNull();
  });
});

describe('statistics of a mark', () => {
  // As errors in stops. A power of two and its logarithm cost some digits on the way there and back.
  it.each([SETS[0]!, SETS[1]!])('whose errors are $name', ({ data, n, mean, sd }) => {
    const firings = data.map((error) => reading(2 ** error));
    const statistics = statisticsOf(firings, seconds(1));
    expect(statistics.n).toBe(n);
    expect(relative(statistics.meanError!, mean)).toBeLessThan(1e-13);
    expect(relative(statistics.sd!, sd)).toBeLessThan(1e-10);
  });

  it.each(SETS)('whose times are $name', ({ data, mean, sd, digits }) => {
    const { cv, median, fastest, slowest } = statisticsOf(
      data.map((time) => reading(time)),
      null,
    );
    expect(relative((cv! * mean) / 100, sd)).toBeLessThan(10 ** -digits + 1e-14);
    const sorted = data.toSorted((a, b) => a - b);
    const half = sorted.length / 2;
    const middle = (sorted[Math.ceil(half) - 1]! + sorted[Math.floor(half)]!) / 2;
    expect([fastest, median, slowest]).toEqual([sorted[0], middle, sorted.at(-1)]);
  });
});
