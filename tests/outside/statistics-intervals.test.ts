/** Intervals and odds against printed tables and closed forms, through the statistics of a mark. */
import { describe, expect, it } from 'vitest';
import { nextShotOdds } from '../../app/judge/next-shot.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from '../judge/sample-readings.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';

/** Against 1 s the errors are the values themselves. */
const statisticsOfErrors = (errors: readonly number[]) =>
  statisticsOf(
    errors.map((error) => reading(2 ** error)),
    seconds(1),
  );

/** So many firings, whatever their times. */
const some = (n: number) => statisticsOfErrors(Array.from({ length: n }, (_, i) => 0.1 * Math.sin(i + 1)));

/** NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: two-sided 95 %, by degrees of freedom. */
describe('Student’s t table', () => {
  it.each([
    [2, 4.3027],
    [4, 2.7764],
    [9, 2.2622],
    [19, 2.093],
    [29, 2.0452],
  ])('%i degrees of freedom', (dof, t) => {
    const n = dof + 1;
    const { meanInterval, nextInterval, sd } = some(n);
    const half = ({ lower, upper }: { lower: number; upper: number }) => (upper - lower) / 2;
    expect((half(meanInterval!) * Math.sqrt(n)) / sd!).toBeCloseTo(t, 4);
    expect(half(nextInterval!) / sd! / Math.sqrt(1 + 1 / n)).toBeCloseTo(t, 4);
  });
});

/**
 * Factors of s for a two-sided 95 % prediction interval of one further value: 3.041 for n = 5, 2.373 for n = 10
 * (G. J. Hahn, J. Am. Stat. Assoc. 64 (1969) 878; from memory).
 */
describe('Hahn’s prediction factors', () => {
  it.each([
    [5, 3.041],
    [10, 2.373],
  ])('n = %i', (n, factor) => {
    const { meanError, nextInterval, sd } = some(n);
    expect((nextInterval!.upper - meanError!) / sd!).toBeCloseTo(factor, 3);
    expect((meanError! - nextInterval!.lower) / sd!).toBeCloseTo(factor, 3);
  });
});

/** Twenty temperatures in °C; mean, s and s/√20 (JCGM 100:2008, 4.4.3; the values from memory). */
describe('GUM 4.4.3', () => {
  const temperatures = [
    96.9, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95,
    101.11, 101.2, 101.57, 101.84, 102.36, 102.72,
  ];

  it('mean, s and the standard uncertainty of the mean', () => {
    const { meanError, sd, meanInterval, suspect } = statisticsOfErrors(temperatures);
    expect(meanError).toBeCloseTo(100.145, 10);
    expect(sd).toBeCloseTo(1.48884, 5);
    // By the t of 19 degrees of freedom, 2.0930.
    expect((meanInterval!.upper - meanInterval!.lower) / 2 / 2.093024).toBeCloseTo(0.33292, 5);
    expect(suspect).toBeNull();
  });
});

describe('chi-square', () => {
  it('quantiles of 9 degrees of freedom, from a series summed to 50 digits', () => {
    const { sd, sdInterval } = some(10);
    expect(9 * (sd! / sdInterval!.lower) ** 2).toBeCloseTo(19.022767798641635, 11);
    expect(9 * (sd! / sdInterval!.upper) ** 2).toBeCloseTo(2.700389499980358, 12);
  });

  /** For 2m degrees of freedom the upper tail is a Poisson sum: Σ e^(−x/2) (x/2)^k / k!, k from 0 to m − 1 (textbook). */
  it.each([100, 1000, 1002, 2000, 9998])('leaves 2.5 %% on either side: %i degrees of freedom', (dof) => {
    const above = (chiSquare: number) => {
      let term = -chiSquare / 2;
      let sum = 0;
      for (let k = 0; k < dof / 2; k++) {
        sum += Math.exp(term);
        term += Math.log(chiSquare / 2 / (k + 1));
      }
      return sum;
    };
    const { sd, sdInterval } = some(dof + 1);
    expect(above(dof * (sd! / sdInterval!.lower) ** 2)).toBeCloseTo(0.025, 5);
    expect(above(dof * (sd! / sdInterval!.upper) ** 2)).toBeCloseTo(0.975, 5);
  });

  // s·√((n − 1)/χ²): arithmetic from the same quantiles.
  it.each([
    [3, 0.5207, 6.2847],
    [5, 0.5991, 2.8736],
    [10, 0.6878, 1.8256],
    [20, 0.7605, 1.4606],
  ])('95 %% limits of s for n = %i', (n, lower, upper) => {
    const { sd, sdInterval } = some(n);
    expect(sdInterval!.lower / sd!).toBeCloseTo(lower, 4);
    expect(sdInterval!.upper / sd!).toBeCloseTo(upper, 4);
  });
});

/**
 * How uncertain s itself is: its own relative standard deviation is 52, 36 and 24 % from 3, 5 and 10 values (JCGM
 * 100:2008, table E.1; from memory). Exactly, with c4 = √(2/(n − 1))·Γ(n/2)/Γ((n − 1)/2), its mean is c4·σ and its
 * relative standard deviation √(1/c4² − 1): c4 = 0.8862, 0.9400, 0.9727 (tables of control charts; from memory).
 */
describe('GUM table E.1', () => {
  it.each([
    [3, 0.52, 0.8862],
    [5, 0.36, 0.94],
    [10, 0.24, 0.9727],
  ])('s from %i normal values', (n, printed, c4) => {
    expect(Math.sqrt(1 / c4 ** 2 - 1)).toBeCloseTo(printed, 2);
    const normal = seededNormal(seededRandom(20260710 + n));
    const sigma = 0.1;
    const series = 10_000;
    const sds = Array.from(
      { length: series },
      () => statisticsOfErrors(Array.from({ length: n }, () => sigma * normal())).sd!,
    );
    const mean = sds.reduce((sum, sd) => sum + sd, 0) / series;
    const spread = Math.sqrt(sds.reduce((sum, sd) => sum + (sd - mean) ** 2, 0) / (series - 1));
    expect(Math.abs(mean / sigma / c4 - 1)).toBeLessThan(0.02);
    expect(Math.abs(spread / mean - printed)).toBeLessThan(0.01);
  });
});

/** F(x) of Student's t in closed form (textbook): 1/2 + atan(x)/π for 1 degree of freedom, 1/2 + x/(2√(2 + x²)) for 2. */
describe('next-shot odds in closed form', () => {
  it.each([
    [-0.5, 0.5],
    [-1 / 3, 1 / 3],
    [0.2, 1],
    [-4, -0.1],
  ])('for the band %f to %f', (lower, upper) => {
    const band = { lower: stops(lower), upper: stops(upper) };
    for (const { n, cdf } of [
      { n: 2, cdf: (x: number) => 0.5 + Math.atan(x) / Math.PI },
      { n: 3, cdf: (x: number) => 0.5 + x / (2 * Math.sqrt(2 + x * x)) },
    ]) {
      const statistics = some(n);
      const scale = statistics.sd! * Math.sqrt(1 + 1 / n);
      const upTo = (limit: number) => cdf((limit - statistics.meanError!) / scale);
      expect(nextShotOdds(statistics, band)).toBeCloseTo(upTo(upper) - upTo(lower), 12);
    }
  });
});
