import { describe, expect, it } from 'vitest';
import type { BudgetReading } from '../../app/judge/budget-reading.ts';
import { distributionWords, dofWords, notStatedWords, sourceWords } from '../../app/judge/budget-words.ts';
import { combine } from '../../app/judge/combined-uncertainty.ts';
import { SET_UP_NOT_STATED, type SetUp } from '../../app/judge/set-up.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { uncertaintyBudget } from '../../app/judge/uncertainty-budget.ts';
import type { ClockCorrection, Levels } from '../../app/measure/figures.ts';
import { LAMP_DRIFT_PER_MINUTE } from '../../app/measure/open-level.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { LEVELS, lineOf, REFERENCE, sampleFiring, TICK_HZ } from './sample-budget.ts';

const EV = (share: number) => share / Math.log(2);
const CLOCK: ClockCorrection = { ppm: 4321, uncertainty: 1.4, observedSeconds: 60 };

const budgetOf = (readings: readonly BudgetReading[], reference: number | null = 1 / 60) =>
  uncertaintyBudget({
    statistics: statisticsOf(readings, reference === null ? null : seconds(reference)),
    readings,
  });

/** Three firings about 1/60 that differ by their length only. */
const three = (changes: Parameters<typeof sampleFiring>[2] = {}) =>
  [0.0184, 0.0187, 0.019].map((total) => sampleFiring(total, 0.002, changes));

const setUp = (changes: Partial<SetUp>): SetUp => ({ ...SET_UP_NOT_STATED, ...changes });

describe('combined uncertainty', () => {
  it('is safe with nothing, with zero, and with infinitely many degrees of freedom', () => {
    for (const lines of [[], [{ u: 0, dof: 2 }], [{ u: 0, dof: Infinity }]]) {
      const none = combine(lines);
      expect(none).toMatchObject({ combined: 0, dof: Infinity, expanded: 0 });
      expect(none.k).toBeCloseTo(1.959964, 6);
    }
    const normal = combine([
      { u: 3, dof: Infinity },
      { u: 4, dof: Infinity },
    ]);
    expect(normal.combined).toBeCloseTo(5, 12);
    expect(normal.expanded).toBeCloseTo(5 * 1.959964, 5);
    // So small that the fourth power is no number any more.
    expect(combine([{ u: 1e-120, dof: 2 }]).dof).toBeCloseTo(2, 9);
  });

  it('has the degrees of freedom of a line that stands alone, and cuts them to a whole number for k', () => {
    const alone = combine([{ u: 0.1, dof: 2 }]);
    expect(alone.k).toBeCloseTo(4.3027, 4);
    // Two lines of u² 4 : 1 and 2 degrees of freedom against none: 2·(5/4)² = 3.125, k of 3.
    const mixed = combine([
      { u: 2, dof: 2 },
      { u: 1, dof: Infinity },
    ]);
    expect(mixed.dof).toBeCloseTo(3.125, 9);
    expect(mixed.k).toBeCloseTo(3.1824, 4);
  });

  it('refuses what is no uncertainty', () => {
    for (const bad of [
      { u: -1, dof: 2 },
      { u: NaN, dof: 2 },
      { u: Infinity, dof: 2 },
      { u: 1, dof: 0 },
      { u: 1, dof: NaN },
    ]) {
      expect(() => combine([bad])).toThrow(RangeError);
    }
  });

  it('holds the truth in about 95 of 100 series of five firings, at the clock’s limits too', () => {
    const random = seededRandom(41);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const runs = 2000;
    for (const [spread, limit] of [
      [0.05, 0.005],
      [0.05, 0.05],
    ] as const) {
      let held = 0;
      for (let run = 0; run < runs; run++) {
        const shared = limit * (2 * random() - 1);
        const errors = Array.from({ length: 5 }, () => shared + spread * normal());
        const mean = errors.reduce((sum, e) => sum + e, 0) / 5;
        const sd = Math.sqrt(errors.reduce((sum, e) => sum + (e - mean) ** 2, 0) / 4);
        const { expanded } = combine([
          { u: sd / Math.sqrt(5), dof: 4 },
          { u: limit / Math.sqrt(3), dof: Infinity },
        ]);
        if (Math.abs(mean) <= expanded) held++;
      }
      expect(held / runs).toBeGreaterThan(0.935);
      expect(held / runs).toBeLessThan(0.985);
    }
  });
});

describe('uncertainty budget of a mark', () => {
  it('is none without two counted firings or without a time to compare with', () => {
    expect(budgetOf([])).toBeNull();
    expect(budgetOf(three().slice(0, 1))).toBeNull();
    expect(budgetOf(three(), null)).toBeNull();
    expect(budgetOf([three()[0]!, { ...three()[1]!, setAside: 'bumped' }])).toBeNull();
  });

  it('sums its lines, with the scatter of the firings first', () => {
    const readings = three();
    const statistics = statisticsOf(readings, seconds(1 / 60));
    const budget = uncertaintyBudget({ statistics, readings })!;
    const first = budget.lines[0]!;
    expect(first).toMatchObject({ source: 'repeatability', type: 'A', dof: 2, halfWidth: null });
    expect(first.u).toBeCloseTo(statistics.sd! / Math.sqrt(3), 12);
    expect(budget.combined).toBeCloseTo(Math.hypot(...budget.lines.map(({ u }) => u)), 12);
    expect(budget.expanded).toBeCloseTo(budget.k * budget.combined, 12);
    expect(budget.dof).toBeGreaterThan(2);
    for (const line of budget.lines.slice(1)) {
      expect(line).toMatchObject({ type: 'B', dof: Infinity });
      if (line.halfWidth !== null) expect(line.u).toBeCloseTo(line.halfWidth / Math.sqrt(3), 12);
    }
    for (const { origin } of budget.lines) expect(origin).toMatch(/^[A-Z±0-9].{20,}\.$/);
  });

  it('takes only the firings that count', () => {
    const readings = three();
    const astray = sampleFiring(0.4, 0.002, {
      setAside: 'dial was at 1/2',
      levels: { ...LEVELS, noise: 0.1, openOrigin: 'reference' },
      reference: REFERENCE,
    });
    expect(budgetOf([...readings, astray])).toEqual(budgetOf(readings));
  });

  describe('clock', () => {
    it('has the resonator’s limits as long as nothing else is known', () => {
      const budget = budgetOf(three());
      expect(lineOf(budget, 'clock tolerance')!.halfWidth).toBeCloseTo(EV(0.005), 12);
      expect(lineOf(budget, 'clock temperature')!.halfWidth).toBeCloseTo(EV(0.003), 12);
      expect(lineOf(budget, 'clock ageing')!.halfWidth).toBeCloseTo(EV(0.003), 12);
      expect(lineOf(budget, 'clock check')).toBeUndefined();
    });

    it('has the check, the computer’s clock and the warm-up once they were compared', () => {
      const budget = budgetOf(three({ clockCorrection: CLOCK }));
      expect(budget!.lines.map(({ source }) => source)).toEqual([
        'repeatability',
        'clock check',
        "computer's clock",
        'clock warm-up',
      ]);
      expect(lineOf(budget, 'clock check')).toMatchObject({ distribution: 'normal', halfWidth: null });
      expect(lineOf(budget, 'clock check')!.u).toBeCloseTo(EV(1.4e-6), 12);
      expect(lineOf(budget, 'clock check')!.origin).toContain('+4321 ppm');
      expect(lineOf(budget, "computer's clock")!.halfWidth).toBeCloseTo(EV(100e-6), 12);
      expect(lineOf(budget, 'clock warm-up')!.halfWidth).toBeCloseTo(EV(0.0003), 12);
      expect(lineOf(budget, "computer's clock")!.origin).toContain('no source');
      expect(lineOf(budget, 'clock warm-up')!.origin).toContain('10 K');
    });

    it('takes the less certain of several checks', () => {
      const [a, b, c] = three({ clockCorrection: CLOCK });
      const worse = { ppm: -12, uncertainty: 25, observedSeconds: 5 };
      for (const readings of [
        [a!, b!, { ...c!, clockCorrection: worse }],
        [{ ...a!, clockCorrection: worse }, b!, c!],
      ]) {
        const check = lineOf(budgetOf(readings), 'clock check')!;
        expect(check.u).toBeCloseTo(EV(25e-6), 12);
        expect(check.origin).toContain('−12 ppm');
      }
    });

    it('takes the larger limits when one firing was not checked, and says so', () => {
      const [a, b, c] = three({ clockCorrection: CLOCK });
      const budget = budgetOf([a!, b!, { ...c!, clockCorrection: null }]);
      expect(lineOf(budget, 'clock check')).toBeUndefined();
      expect(lineOf(budget, 'clock tolerance')!.halfWidth).toBeCloseTo(EV(0.005), 12);
      expect(lineOf(budget, 'clock tolerance')!.origin).toContain('1 of 3 firings');
    });
  });

  describe('open level', () => {
    const used: Levels = { ...LEVELS, openOrigin: 'reference', openUncertainty: REFERENCE.uncertainty };
    const later = (minutes: number) => ({
      spoilt: null,
      tickHz: TICK_HZ,
      firstTick: ticks(minutes * 60 * TICK_HZ),
    });

    it('needs no line where each firing had its own plateau', () => {
      const budget = budgetOf(three({ reference: REFERENCE }));
      expect(lineOf(budget, 'open level')).toBeUndefined();
      expect(lineOf(budget, 'lamp drift')).toBeUndefined();
    });

    it('is shared by the firings that used the reference', () => {
      const budget = budgetOf(three({ reference: REFERENCE, levels: used }));
      expect(lineOf(budget, 'open level')!.u).toBeCloseTo(EV(0.4 / 200), 12);
      const [a, b, c] = three({ reference: REFERENCE, levels: used });
      const own = { ...c!, figures: { ...c!.figures, levels: LEVELS } };
      const part = lineOf(budgetOf([a!, b!, own]), 'open level')!;
      expect(part.u).toBeCloseTo((2 / 3) * EV(0.4 / 200), 12);
      expect(part.origin).toContain('2 of 3 firings');
    });

    it('adds the errors of different references by their squares', () => {
      const [a, b, c] = three({ reference: REFERENCE, levels: used });
      const another = { ...REFERENCE, firstTick: ticks(5), uncertainty: 0.8 };
      const line = lineOf(budgetOf([a!, b!, { ...c!, reference: another }]), 'open level')!;
      expect(line.u).toBeCloseTo(EV(Math.hypot((2 * 0.4) / 200, 0.8 / 200) / 3), 12);
    });

    it('counts a pooled plateau by the part the reference has in it', () => {
      // Equal uncertainties: half of the pooled level is the reference.
      const pooled: Levels = {
        ...LEVELS,
        openOrigin: 'plateau and reference',
        openUncertainty: 0.4 / Math.SQRT2,
      };
      const line = lineOf(budgetOf(three({ reference: REFERENCE, levels: pooled })), 'open level')!;
      expect(line.u).toBeCloseTo(EV(0.2 / 200), 12);
    });

    it('allows for the lamp’s drift since the reference was taken', () => {
      const at = (minutes: number, levels = used) =>
        lineOf(budgetOf(three({ reference: REFERENCE, levels, firing: later(minutes) })), 'lamp drift')!;
      expect(at(0).u).toBe(0);
      expect(at(1).u).toBeCloseTo(EV(LAMP_DRIFT_PER_MINUTE), 12);
      expect(at(10).u).toBeCloseTo(EV(10 * LAMP_DRIFT_PER_MINUTE), 12);
      // Three minutes make 0.6 of 200 codes; half of the level from it is half of that.
      const reference = Math.hypot(0.4, 3 * LAMP_DRIFT_PER_MINUTE * 200);
      const pooled: Levels = {
        ...LEVELS,
        openOrigin: 'plateau and reference',
        openUncertainty: reference / Math.SQRT2,
      };
      expect(at(3, pooled).u).toBeCloseTo(EV(1.5 * LAMP_DRIFT_PER_MINUTE), 12);
    });

    it('takes all of a pooled level for the reference where that says no more than the reference alone', () => {
      const pooled: Levels = { ...LEVELS, openOrigin: 'plateau and reference', openUncertainty: 0.5 };
      const line = lineOf(budgetOf(three({ reference: REFERENCE, levels: pooled })), 'open level')!;
      expect(line.u).toBeCloseTo(EV(0.4 / 200), 12);
    });
  });

  describe('truncation', () => {
    it('is evened out by noise of half a step or more', () => {
      expect(lineOf(budgetOf(three({ levels: { ...LEVELS, noise: 0.5 } })), 'truncation')).toBeUndefined();
      expect(lineOf(budgetOf(three({ levels: { ...LEVELS, noise: 0.49 } })), 'truncation')).toBeDefined();
    });

    it('bounds what floors do to ramps, wherever the levels stand within their step', () => {
      const [edge, plateau, height] = [0.002, 0.002, 60] as const;
      const dt = edge / 4000;
      const quiet: Levels = { ...LEVELS, noise: 0.29, dark: 6, open: 6 + height };
      const readings = [0, 1, 2].map((i) =>
        sampleFiring(2 * edge + plateau + i * 1e-9, edge, { levels: quiet }),
      );
      const bound = lineOf(budgetOf(readings, edge + plateau), 'truncation')!.halfWidth!;
      let worst = 0;
      for (const shape of [1, 2, 0.5]) {
        for (let d = 0.02; d < 1; d += 0.12) {
          for (let p = 0.02; p < 1; p += 0.12) {
            const [dark, open] = [6 + d, 6 + height + p];
            let floored = 0;
            let true_ = 0;
            for (let t = dt / 2; t < 2 * edge + plateau; t += dt) {
              const ramp = Math.min(1, t / edge, (2 * edge + plateau - t) / edge) ** shape;
              floored += (Math.floor(dark + (open - dark) * ramp) - Math.floor(dark)) * dt;
              true_ += ramp * dt;
            }
            const error = Math.log2(floored / (Math.floor(open) - Math.floor(dark)) / true_);
            worst = Math.max(worst, Math.abs(error) * (true_ / (edge + plateau)));
          }
        }
      }
      expect(worst).toBeLessThan(bound);
      expect(worst).toBeGreaterThan(0.6 * bound);
    });

    it('weighs less at a slow mark, and as far as the firings lack noise', () => {
      const quiet = { levels: { ...LEVELS, noise: 0.29 } };
      const at = (readings: readonly BudgetReading[]) => lineOf(budgetOf(readings), 'truncation')!.halfWidth!;
      const slow = [0.5, 0.501].map((total) => sampleFiring(total, 0.002, quiet));
      expect(at(slow)).toBeLessThan(at(three(quiet)) / 25);
      const [a, b, c] = three(quiet);
      const mixed = at([a!, b!, { ...c!, figures: { ...c!.figures, levels: LEVELS } }]);
      expect(mixed).toBeGreaterThan(0.5 * at([a!, b!, c!]));
      expect(mixed).toBeLessThan(0.8 * at([a!, b!, c!]));
    });
  });

  describe('what the user states', () => {
    it('is missing until it is stated', () => {
      const budget = budgetOf(three())!;
      expect(budget.notStated).toEqual(['geometry', 'linearity']);
      expect(lineOf(budget, 'geometry')).toBeUndefined();
      expect(lineOf(budget, 'linearity')).toBeUndefined();
      expect(notStatedWords(budget.notStated)).toContain('not in U');
      expect(notStatedWords([])).toBeNull();
    });

    it('enters as a rectangle', () => {
      const budget = budgetOf(three({ setUp: setUp({ linearity: 0.01, seenShare: 1 }) }))!;
      expect(budget.notStated).toEqual([]);
      expect(lineOf(budget, 'linearity')!.halfWidth).toBeCloseTo(EV(0.01), 12);
      expect(lineOf(budget, 'geometry')).toMatchObject({ u: 0, halfWidth: 0 });
    });

    it('stays missing while it is stated for a part of the firings', () => {
      const [a, b, c] = three({ setUp: setUp({ linearity: 0.01, seenShare: 0.9 }) });
      const budget = budgetOf([a!, b!, { ...c!, setUp: SET_UP_NOT_STATED }])!;
      expect(budget.notStated).toEqual(['geometry', 'linearity']);
      expect(lineOf(budget, 'linearity')!.origin).toContain('2 of 3 firings');
      expect(lineOf(budget, 'geometry')!.halfWidth).toBeGreaterThan(0);
    });

    it.each([
      [0.8, 0.263],
      [0.5, 0.585],
    ])('a central share of %f lengthens 2 ms with edges of 2 ms by %f EV', (share, stops) => {
      // Straight edges of 2 ms that just touch full opening. The part seen is open as soon as a ≥ share.
      const [edge, total] = [0.002, 0.004] as const;
      const steps = 40_000;
      let seen = 0;
      for (let i = 0; i < steps; i++) {
        const t = ((i + 0.5) * total) / steps;
        seen += (Math.min(t / edge, (total - t) / edge, share) / share) * (total / steps);
      }
      expect(Math.log2(seen / 0.002)).toBeCloseTo(stops, 3);
      // Read as it is seen: the same total time, shorter edges.
      const readings = [0, 1e-9].map((more) =>
        sampleFiring(total, total - seen - more, { setUp: setUp({ seenShare: share }) }),
      );
      expect(lineOf(budgetOf(readings, 0.002), 'geometry')!.halfWidth).toBeCloseTo(stops, 3);
    });

    it('never allows more than one stop for it, whatever the curve', () => {
      const readings = [0.004, 0.00401].map((total) =>
        sampleFiring(total, 0.0019, { setUp: setUp({ seenShare: 0.05 }) }),
      );
      expect(lineOf(budgetOf(readings), 'geometry')!.halfWidth).toBeCloseTo(1, 9);
    });

    it('can’t say anything of edges where a comparator timed the opening', () => {
      const timed = three({ setUp: setUp({ seenShare: 0.8 }) }).map((reading) => ({
        ...reading,
        figures: {
          ...reading.figures,
          effective: null,
          levels: null,
          instants: null,
          remarks: [{ code: 'open time only' } as const],
        },
      }));
      const budget = budgetOf(timed)!;
      expect(budget.notStated).toEqual(['geometry', 'linearity', 'threshold']);
      expect(budget.lines.map(({ source }) => source)).toEqual([
        'repeatability',
        'clock tolerance',
        'clock temperature',
        'clock ageing',
      ]);
      // Not even where the whole opening is stated to be seen: the slopes are not weighed all the same.
      const whole = timed.map((one) => ({ ...one, setUp: setUp({ seenShare: 1, linearity: 0.01 }) }));
      expect(budgetOf(whole)!.notStated).toEqual(['threshold']);
      expect(notStatedWords(['threshold'])).toContain('where on the slopes');
    });
  });

  it('has words for everything in it', () => {
    const budget = budgetOf(three())!;
    const names = budget.lines.map(({ source }) => sourceWords(source));
    expect(new Set(names).size).toBe(names.length);
    expect(distributionWords(budget.lines[0]!)).toBe('normal');
    expect(distributionWords(lineOf(budget, 'clock tolerance')!)).toBe('±0.0072 EV, rectangular');
    // Cut as in the worked example H.1 of the GUM, which prints 16.7 for 16.75.
    expect([4, 16.75, Infinity, 5000].map(dofWords)).toEqual(['4', '16.7', '∞', '∞']);
  });
});
