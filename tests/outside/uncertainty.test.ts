import { describe, expect, it } from 'vitest';
import { combine } from '../../app/judge/combined-uncertainty.ts';
import { conformityProbability } from '../../app/judge/conformity.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { speedVerdict } from '../../app/judge/speed-verdict.ts';
import { uncertaintyBudget } from '../../app/judge/uncertainty-budget.ts';
import type { Band, Verdict } from '../../app/judge/verdict.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { sampleFiring } from '../judge/sample-budget.ts';

/** JCGM 100:2008 (GUM) H.1, calibration of an end gauge; standard uncertainties in nm. */
describe('GUM H.1', () => {
  const STANDARD = { u: 25, dof: 18 };
  const DIFFERENCE = [
    { u: 5.8, dof: 24 },
    { u: 3.9, dof: 5 },
    { u: 6.7, dof: 8 },
  ];
  // l·θ̄·u(δα): 50 mm · 0.1 °C · 0.58e-6/°C as 50 e6 nm · 0.1 · 1e-6/√3; l·α·u(δθ): 50e6 · 11.5e-6 · 0.05/√3.
  const EXPANSION = { u: (50e6 * 0.1 * 1e-6) / Math.sqrt(3), dof: 50 };
  const TEMPERATURE = { u: (50e6 * 11.5e-6 * 0.05) / Math.sqrt(3), dof: 2 };
  const ALL = [STANDARD, ...DIFFERENCE, EXPANSION, TEMPERATURE];

  it('combines the difference of the two gauges to 9.7 nm', () => {
    const { combined, dof } = combine(DIFFERENCE);
    expect(combined).toBeCloseTo(9.682, 3);
    expect(dof).toBeCloseTo(25.447, 2);
  });

  it('gives u_c 32 nm with 16.7 degrees of freedom', () => {
    expect(EXPANSION.u).toBeCloseTo(2.8868, 4);
    expect(TEMPERATURE.u).toBeCloseTo(16.5988, 4);
    const { combined, dof } = combine(ALL);
    expect(combined).toBeCloseTo(31.66, 2);
    expect(dof).toBeCloseTo(16.75, 2);
  });

  it('gives the same in two steps', () => {
    const difference = combine(DIFFERENCE);
    const { combined, dof } = combine([
      STANDARD,
      { u: difference.combined, dof: difference.dof },
      EXPANSION,
      TEMPERATURE,
    ]);
    expect(combined).toBeCloseTo(combine(ALL).combined, 9);
    expect(dof).toBeCloseTo(combine(ALL).dof, 9);
  });

  it('gives k 2.92 for 99 % and U 93 nm', () => {
    const { combined, k, expanded } = combine(ALL, 0.99);
    expect(k).toBeCloseTo(2.92, 2);
    // The document rounds u_c to 32 before it multiplies; not rounded it is 92 nm.
    expect(Math.round(k * Math.round(combined))).toBe(93);
    expect(Math.round(expanded)).toBe(92);
  });
});

it('four equal contributions of 10 degrees of freedom have 40 (GUM G.4)', () => {
  const { dof, k } = combine(Array.from({ length: 4 }, () => ({ u: 0.7, dof: 10 })));
  expect(dof).toBeCloseTo(40, 9);
  // t for 40 degrees of freedom, 95 % (GUM table G.2, from memory).
  expect(k).toBeCloseTo(2.02, 2);
});

/** Examples of JCGM 106:2012, from memory; the figures follow from the normal distribution. */
describe('probability of conformity (JCGM 106)', () => {
  it.each([
    { upper: -5.4, estimate: -5.47, u: 0.05, probability: 0.9192 },
    { lower: 490, estimate: 509.7, u: 8.6, probability: 0.989 },
  ])('of $estimate with u $u', ({ lower = -Infinity, upper = Infinity, estimate, u, probability }) => {
    const band: Band = { lower: stops(lower), upper: stops(upper) };
    const found = conformityProbability({ estimate: stops(estimate), u: stops(u), dof: Infinity, band });
    expect(found).toBeCloseTo(probability, 4);
  });
});

/** ILAC-G8:09/2019. */
describe('decision rules', () => {
  const verdict = (error: number, limit: number, guard: number): Verdict =>
    speedVerdict({
      mark: { marked: seconds(1) },
      statistics: { n: 5, meanError: stops(error) },
      outcome: null,
      band: { lower: stops(-limit), upper: stops(limit) },
      least: 5,
      guard: stops(guard),
    });

  it.each([
    [0, 0.5],
    [0.83, 0.05],
    [1, 0.025],
    [1.5, 0.0016],
    [3, 1e-6],
  ])('a guard band of %f U keeps the risk of a wrong pass under %f', (widths, risk) => {
    const [limit, u] = [1, 0.02];
    const guard = widths * 2 * u;
    // The worst mean that still passes, found from the verdict itself.
    let passes = 0;
    let doesNot = 2;
    for (let halving = 0; halving < 40; halving++) {
      const middle = (passes + doesNot) / 2;
      if (verdict(middle, limit, guard) === 'within') passes = middle;
      else doesNot = middle;
    }
    const band: Band = { lower: stops(-limit), upper: stops(limit) };
    const conforms = (estimate: number) =>
      conformityProbability({ estimate: stops(estimate), u: stops(u), dof: Infinity, band });
    // 1e-6: inside the boundary, where the risk of simple acceptance is a half itself.
    expect(1 - conforms(passes - 1e-6)).toBeLessThan(risk);
    // Two standard uncertainties further out it would not be kept.
    expect(1 - conforms(passes + 2 * u)).toBeGreaterThan(risk);
  });

  it('T 4.00, U 1.6, measured 3.20: accepted by the simple rule, conditionally with w = U', () => {
    expect(verdict(3.2, 4, 0)).toBe('within');
    expect(verdict(3.2, 4, 1.6)).toBe('conditional pass');
  });

  it('T 1/3 EV, U 0.05: zones end at 0.28333, 0.33333 and 0.38333', () => {
    for (const [end, inside, beyond] of [
      [0.28333, 'within', 'conditional pass'],
      [0.33333, 'conditional pass', 'conditional slow'],
      [0.38333, 'conditional slow', 'slow'],
    ] as const) {
      expect(verdict(end, 1 / 3, 0.05)).toBe(inside);
      expect(verdict(end + 1e-5, 1 / 3, 0.05)).toBe(beyond);
    }
  });
});

/** Makers' data sheets of ceramic resonators: ±0.5 % as made, ±0.3 % over temperature, ±0.3 % with age. */
it('a board’s resonator alone is uncertain by 0.379 %, with k = 2 by 0.011 EV', () => {
  const readings = [0.017, 0.017, 0.017].map((total) => sampleFiring(total, 0.001));
  const { lines } = uncertaintyBudget({ statistics: statisticsOf(readings, seconds(1 / 60)), readings })!;
  const clock = combine(lines.filter(({ source }) => source.startsWith('clock')));
  expect(100 * clock.combined * Math.LN2).toBeCloseTo(0.379, 3);
  expect(2 * clock.combined).toBeCloseTo(0.011, 3);
  expect(clock.k).toBeCloseTo(1.96, 2);
});
