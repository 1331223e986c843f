import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { conformityProbability } from '../../app/judge/conformity.ts';
import { firingsNeeded } from '../../app/judge/firings-needed.ts';
import { type MarkToJudge, speedJudgement } from '../../app/judge/speed-judgement.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { speedVerdict } from '../../app/judge/speed-verdict.ts';
import { uncertaintyBudget } from '../../app/judge/uncertainty-budget.ts';
import type { Band, Verdict } from '../../app/judge/verdict.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { sampleFiring } from './sample-budget.ts';

const MARK = { marked: seconds(1 / 60) };
const band = (lower: number, upper: number): Band => ({ lower: stops(lower), upper: stops(upper) });
const THIRD = band(-1 / 3, 1 / 3);

const verdictAt = (error: number, limits: Band, guard: number | null): Verdict =>
  speedVerdict({
    mark: MARK,
    statistics: { n: 5, meanError: stops(error) },
    outcome: null,
    band: limits,
    least: 3,
    guard: guard === null ? null : stops(guard),
  });

/** Firings of these errors in stops at 1/60, with edges of 1 ms, and all that hangs on them. */
function fired(errors: readonly number[]) {
  const readings = errors.map((error) => sampleFiring(2 ** error / 60 + 0.001, 0.001));
  const statistics = statisticsOf(readings, MARK.marked);
  return { readings, statistics, budget: uncertaintyBudget({ statistics, readings }) };
}

function judge(errors: readonly number[], changes: Partial<MarkToJudge> = {}) {
  const { statistics, budget } = fired(errors);
  return speedJudgement({
    mark: MARK,
    statistics,
    budget,
    outcome: null,
    band: THIRD,
    least: 3,
    rule: 'guard band',
    spreadLimit: null,
    ...changes,
  });
}

describe('verdict with a guard band', () => {
  it('has its zones at each limit by itself', () => {
    const uneven = band(-0.2, 0.5);
    const zones = [
      [-0.31, 'fast'],
      [-0.29, 'conditional fast'],
      [-0.21, 'conditional fast'],
      [-0.19, 'conditional pass'],
      [-0.11, 'conditional pass'],
      [-0.09, 'within'],
      [0.39, 'within'],
      [0.41, 'conditional pass'],
      [0.49, 'conditional pass'],
      [0.51, 'conditional slow'],
      [0.59, 'conditional slow'],
      [0.61, 'slow'],
    ] as const;
    for (const [error, verdict] of zones) expect(verdictAt(error, uneven, 0.1), `${error}`).toBe(verdict);
  });

  it('counts each boundary to the better zone', () => {
    expect(verdictAt(0.4, band(-0.5, 0.5), 0.1)).toBe('within');
    expect(verdictAt(0.5, band(-0.5, 0.5), 0.1)).toBe('conditional pass');
    expect(verdictAt(0.6, band(-0.5, 0.5), 0.1)).toBe('conditional slow');
    expect(verdictAt(-0.4, band(-0.5, 0.5), 0.1)).toBe('within');
    expect(verdictAt(-0.6, band(-0.5, 0.5), 0.1)).toBe('conditional fast');
  });

  it('is simple acceptance with w = 0', () => {
    fc.assert(
      fc.property(fc.double({ min: -3, max: 3, noNaN: true }), (error) => {
        const expected = error > 1 / 3 + 1e-9 ? 'slow' : error < -1 / 3 - 1e-9 ? 'fast' : 'within';
        expect(verdictAt(error, THIRD, 0)).toBe(expected);
      }),
      { seed: 51, numRuns: 500 },
    );
  });

  it('decides nothing but a plain fail where U takes up more than half of the band', () => {
    expect(verdictAt(0, THIRD, 1 / 3)).toBe('within');
    expect(verdictAt(0.01, THIRD, 1 / 3)).toBe('conditional pass');
    expect(verdictAt(0, THIRD, 0.34)).toBe('undecided');
    expect(verdictAt(0.5, THIRD, 0.34)).toBe('undecided');
    expect(verdictAt(0.68, THIRD, 0.34)).toBe('slow');
    expect(verdictAt(-0.68, THIRD, 0.34)).toBe('fast');
    expect(verdictAt(0.1, band(0, 0.5), 0.26)).toBe('undecided');
  });

  it('asks for more firings where the width can’t be known', () => {
    expect(verdictAt(0, THIRD, null)).toBe('too few');
  });

  it('is monotone in the error at a fixed uncertainty', () => {
    const side = (verdict: Verdict) =>
      [
        ['fast'],
        ['conditional fast'],
        ['conditional pass', 'within', 'undecided'],
        ['conditional slow'],
        ['slow'],
      ].findIndex((zone) => zone.includes(verdict));
    const quality = (verdict: Verdict) =>
      [
        ['fast', 'slow'],
        ['conditional fast', 'conditional slow', 'undecided'],
        ['conditional pass'],
        ['within'],
      ].findIndex((zone) => zone.includes(verdict));
    const number = fc.double({ min: -2, max: 2, noNaN: true });
    const width = fc.double({ min: 0, max: 1.5, noNaN: true });
    fc.assert(
      fc.property(number, width, width, number, number, (lower, wide, guard, a, b) => {
        const limits = band(lower, lower + wide + 0.01);
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        expect(side(verdictAt(low, limits, guard))).toBeLessThanOrEqual(side(verdictAt(high, limits, guard)));
        // Away from the middle of the band to either side, never better.
        const middle = (limits.lower + limits.upper) / 2;
        const [near, far] = [Math.abs(a) < Math.abs(b) ? a : b, Math.abs(a) < Math.abs(b) ? b : a];
        for (const way of [1, -1]) {
          expect(quality(verdictAt(middle + way * Math.abs(far), limits, guard))).toBeLessThanOrEqual(
            quality(verdictAt(middle + way * Math.abs(near), limits, guard)),
          );
        }
      }),
      { seed: 52, numRuns: 2000 },
    );
  });

  it('never gets better with more uncertainty', () => {
    const quality: readonly Verdict[] = ['undecided', 'conditional pass', 'within'];
    const inside = fc.double({ min: -1 / 3, max: 1 / 3, noNaN: true });
    const guard = fc.double({ min: 0, max: 0.6, noNaN: true });
    fc.assert(
      fc.property(inside, guard, guard, (error, a, b) => {
        const rank = (w: number) => quality.indexOf(verdictAt(error, THIRD, w));
        expect(rank(Math.max(a, b))).toBeLessThanOrEqual(rank(Math.min(a, b)));
        expect(rank(a)).toBeGreaterThanOrEqual(0);
      }),
      { seed: 53, numRuns: 500 },
    );
  });
});

describe('probability of conformity', () => {
  const at = (estimate: number, u: number, dof: number, limits = THIRD) =>
    conformityProbability({ estimate: stops(estimate), u: stops(u), dof, band: limits });

  it('is a half on a limit, and certain either way without uncertainty', () => {
    expect(at(1 / 3, 0.01, Infinity)).toBeCloseTo(0.5, 9);
    // The t distribution's tails reach to the other limit.
    expect(at(1 / 3, 0.01, 4)).toBeCloseTo(0.5, 6);
    expect(at(1 / 3, 0, Infinity)).toBe(1);
    expect(at(0.34, 0, 2)).toBe(0);
  });

  it('goes from the t distribution to the normal one', () => {
    // Student t, 95 % two-sided (NIST table): t 4.3027 of 2 degrees of freedom.
    expect(at(0, 1 / 3 / 4.3027, 2)).toBeCloseTo(0.95, 4);
    expect(at(0, 1 / 3 / 1.959964, Infinity)).toBeCloseTo(0.95, 6);
    expect(at(0.1, 0.1, 1e7)).toBeCloseTo(at(0.1, 0.1, Infinity), 6);
  });

  it('stays a probability far out', () => {
    expect(at(50, 0.01, Infinity)).toBe(0);
    expect(at(50, 0.01, 3)).toBeGreaterThanOrEqual(0);
    expect(at(0, 1e-9, 3)).toBeLessThanOrEqual(1);
  });
});

describe('judgement of a mark', () => {
  it('agrees with itself: a pass with a guard band is likely to conform', () => {
    const good = judge([0.1, 0.11, 0.12, 0.1, 0.11]);
    expect(good.verdict).toBe('within');
    expect(good.conformity).toBeGreaterThan(0.99);
    expect(good.nextShot).toBeGreaterThan(0.99);
    expect(good.firingsNeeded).toBeNull();
  });

  it('takes U from the budget only by the rule with a guard band', () => {
    const errors = [0.29, 0.34, 0.31, 0.3, 0.32];
    const { budget, statistics } = fired(errors);
    expect(statistics.meanError! + budget!.expanded).toBeGreaterThan(1 / 3);
    expect(judge(errors).verdict).toBe('conditional pass');
    expect(judge(errors, { rule: 'simple' }).verdict).toBe('within');
    const conformity = judge(errors).conformity!;
    expect(conformity).toBeGreaterThan(0.5);
    expect(conformity).toBeLessThan(0.995);
    expect(judge(errors, { rule: 'simple' }).conformity).toBe(conformity);
  });

  it('needs two firings for a guard band, one for simple acceptance', () => {
    expect(judge([0.1], { least: 1 }).verdict).toBe('too few');
    expect(judge([0.1], { least: 1, rule: 'simple' })).toMatchObject({
      verdict: 'within',
      conformity: null,
      nextShot: null,
    });
  });

  it('gives no probability of conformity below the least number', () => {
    const early = judge([0.1, 0.12], { least: 5 });
    expect(early).toMatchObject({ verdict: 'too few', conformity: null });
    expect(early.nextShot).not.toBeNull();
  });

  it('hides no failure behind a probability', () => {
    for (const outcome of ['did not fire', 'stuck open'] as const) {
      expect(judge([0, 0.01, 0.02], { outcome })).toMatchObject({
        verdict: outcome,
        conformity: null,
        nextShot: null,
      });
    }
    expect(judge([], { outcome: 'not tried' })).toMatchObject({ verdict: 'not tried', conformity: null });
  });

  it('says how many firings it would take', () => {
    const errors = [-0.25, 0.32, 0.1, -0.22];
    const { verdict, firingsNeeded: needed } = judge(errors);
    expect(verdict).toBe('undecided');
    const { budget, statistics } = fired(errors);
    const sd = statistics.sd!;
    // Student t, 95 % (NIST table): 6 firings 2.571·s/√6, 5 firings 2.776·s/√5, the clock being far below.
    const half = (n: number, t: number) => (t * sd) / Math.sqrt(n);
    expect(needed).toBe([half(4, 3.182), half(5, 2.776), half(6, 2.571)].findIndex((u) => u < 1 / 3) + 4);
    expect(firingsNeeded(budget!, sd, THIRD)).toBe(needed);
    // A band far wider than the scatter is decided by two.
    expect(firingsNeeded(budget!, sd, band(-20, 20))).toBe(2);
    // The clock alone takes up a band this narrow.
    expect(firingsNeeded(budget!, sd, band(-0.01, 0.01))).toBeNull();
  });

  it('finds the least number and no smaller one', () => {
    const { budget } = fired([0.1, 0.12, 0.14]);
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        fc.double({ min: 0.02, max: 1, noNaN: true }),
        (sd, half) => {
          const needed = firingsNeeded(budget!, stops(sd), band(-half, half));
          const expanded = (n: number) => {
            const statistics = { n, meanError: stops(0), sd: stops(sd) };
            const readings = [sampleFiring(0.018, 0.001)];
            return uncertaintyBudget({ statistics, readings })!.expanded;
          };
          if (needed === null) expect(expanded(1000)).toBeGreaterThan(half);
          else {
            expect(expanded(needed)).toBeLessThanOrEqual(half + 1e-9);
            if (needed > 2) expect(expanded(needed - 1)).toBeGreaterThan(half);
          }
        },
      ),
      { seed: 54, numRuns: 60 },
    );
  });

  it('judges the spread by itself', () => {
    const steadyButOff = judge([1, 1.01, 1.02], { spreadLimit: stops(0.05) });
    expect(steadyButOff).toMatchObject({ verdict: 'slow', spread: 'steady' });
    const erratic = judge([-0.1, 0, 0.1], { spreadLimit: stops(0.05), rule: 'simple' });
    expect(erratic).toMatchObject({ verdict: 'within', spread: 'erratic' });
    expect(judge([-0.1, 0, 0.1], { spreadLimit: stops(0.1 + 1e-9) }).spread).toBe('steady');
    // The limit itself is still within it.
    const { sd } = fired([-0.1, 0, 0.1]).statistics;
    expect(judge([-0.1, 0, 0.1], { spreadLimit: sd }).spread).toBe('steady');
    expect(judge([0, 0.01, 0.02]).spread).toBe('no limit');
    expect(judge([0, 0.01], { spreadLimit: stops(0.05), least: 2 }).spread).toBe('too few');
    expect(judge([0, 0.01, 0.02], { spreadLimit: stops(0.05), least: 5 }).spread).toBe('too few');
    expect(judge([], { spreadLimit: stops(0.05) }).spread).toBe('too few');
    const bulb = judge([0, 0.5, 1], { mark: { marked: null }, spreadLimit: stops(0.05) });
    expect(bulb).toMatchObject({ verdict: 'no time', spread: 'no limit', conformity: null, nextShot: null });
  });

  it('changes with the band while the readings and all figures from them stay as they are', () => {
    const frozen = (value: unknown): void => {
      if (value === null || typeof value !== 'object') return;
      Object.freeze(value);
      for (const part of Object.values(value)) frozen(part);
    };
    const { readings, statistics, budget } = fired([0.38, 0.4, 0.42, 0.39, 0.41]);
    const before = JSON.stringify({ readings, statistics, budget });
    for (const value of [readings, statistics, budget]) frozen(value);
    const under = (limits: Band) =>
      speedJudgement({
        mark: MARK,
        statistics,
        budget,
        outcome: null,
        band: limits,
        least: 5,
        rule: 'guard band',
        spreadLimit: null,
      }).verdict;
    expect([band(-0.5, 0.5), THIRD, band(-1, 0.41), band(-1, 0)].map(under)).toEqual([
      'within',
      'slow',
      'conditional pass',
      'slow',
    ]);
    expect(JSON.stringify({ readings, statistics, budget })).toBe(before);
    expect(uncertaintyBudget({ statistics: statisticsOf(readings, MARK.marked), readings })).toEqual(budget);
  });
});
