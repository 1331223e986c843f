/** Budget lines with their values worked out by hand, and what they say of where they come from. */
import { describe, expect, it } from 'vitest';
import type { BudgetReading } from '../../app/judge/budget-reading.ts';
import { clockLines } from '../../app/judge/clock-lines.ts';
import { levelLines } from '../../app/judge/level-lines.ts';
import { SET_UP_NOT_STATED, type SetUp } from '../../app/judge/set-up.ts';
import { setUpLines } from '../../app/judge/set-up-lines.ts';
import type { BudgetLine } from '../../app/judge/verdict.ts';
import type { Levels, RemarkCode } from '../../app/measure/figures.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { LEVELS, REFERENCE, sampleFiring, TICK_HZ } from './sample-budget.ts';

const line = (lines: readonly BudgetLine[], source: BudgetLine['source']) =>
  lines.find((one) => one.source === source)!;

/** 16 ms effective, edges of 2 ms: 18 ms in all. */
const firing = (changes: Parameters<typeof sampleFiring>[2] = {}) => sampleFiring(0.018, 0.002, changes);

const changed = (reading: BudgetReading, figures: Partial<BudgetReading['figures']>): BudgetReading => ({
  ...reading,
  figures: { ...reading.figures, ...figures },
});

describe('clock', () => {
  const checked = (ppm: number) =>
    firing({ clockCorrection: { ppm, uncertainty: 1.4, observedSeconds: 60 } });

  it('says whether it was compared, and with what', () => {
    expect(line(clockLines([firing()]), 'clock tolerance').origin).toBe(
      "±0.5 % for a ceramic resonator as made (makers' data sheets): no clock check was made.",
    );
    expect(line(clockLines([checked(-0.2)]), 'clock check').origin).toContain('error of 0 ppm');
    expect(line(clockLines([checked(-0.8)]), 'clock check').origin).toContain('error of −1 ppm');
  });
});

describe('open level', () => {
  const used: Levels = { ...LEVELS, openOrigin: 'reference', openUncertainty: 0.4 };
  const taken = (minutes: number) => ({
    ...REFERENCE,
    firstTick: ticks(minutes * 60 * TICK_HZ),
  });
  const at = (minutes: number, reference = taken(30)) =>
    firing({
      levels: used,
      reference,
      firing: { spoilt: null, tickHz: TICK_HZ, firstTick: ticks(minutes * 60 * TICK_HZ) },
    });

  it('drifts from the reference either way in time, and names the longest time', () => {
    const later = line(levelLines([at(34)]), 'lamp drift');
    expect(line(levelLines([at(26)]), 'lamp drift').u).toBeCloseTo(later.u, 12);
    expect(line(levelLines([at(31), at(34), at(32)]), 'lamp drift').origin).toContain('4.0 minutes before');
    expect(later.origin).toContain('0.1 % of the light for each minute');
  });

  it('says how many references were used', () => {
    expect(line(levelLines([at(31), at(32)]), 'open level').origin).toBe(
      '2 of 2 firings were read against a reference level, whose standard uncertainty they share.',
    );
    expect(line(levelLines([at(31), at(32, taken(29))]), 'open level').origin).toContain('2 of them in all');
  });

  it('does not enter the open time of a comparator, whatever reference is in force', () => {
    expect(levelLines([changed(at(31), { levels: null, instants: null })])).toEqual([]);
  });
});

describe('truncation', () => {
  const quiet: Levels = { ...LEVELS, noise: 0.2, dark: 6, open: 206 };
  const bound = (reading: BudgetReading) => line(levelLines([reading]), 'truncation').halfWidth!;

  it('is half a step of the light over a quarter more than both edges', () => {
    expect(bound(firing({ levels: quiet }))).toBeCloseTo(
      ((0.5 / 200) * ((1.25 * 0.004) / 0.016)) / Math.LN2,
      12,
    );
  });

  it('takes the whole time for edges where their ends are not known', () => {
    expect(bound(changed(firing({ levels: quiet }), { instants: null }))).toBeCloseTo(
      ((0.5 / 200) * ((1.25 * 0.018) / 0.016)) / Math.LN2,
      12,
    );
  });

  it('can’t be told without any light', () => {
    expect(bound(firing({ levels: { ...quiet, open: quiet.dark } }))).toBe(0);
  });
});

describe('what the user states', () => {
  const stated = (setUp: Partial<SetUp>) => firing({ setUp: { ...SET_UP_NOT_STATED, ...setUp } });

  it('counts with the worst linearity that is stated', () => {
    const { lines } = setUpLines([stated({ linearity: 0.01 }), stated({ linearity: 0.02 })]);
    expect(line(lines, 'linearity').halfWidth).toBeCloseTo(0.02 / Math.LN2, 12);
    expect(line(lines, 'linearity').origin).toBe(
      '±2 % of the time for sensor and amplifier, as the user states.',
    );
  });

  it('names the least share of the opening that is seen', () => {
    const { lines, notStated } = setUpLines([
      stated({ seenShare: 0.9 }),
      stated({ seenShare: 0.8 }),
      firing(),
    ]);
    expect(line(lines, 'geometry').origin).toContain('At least 80 % of the opening');
    expect(line(lines, 'geometry').origin).toContain('for 2 of 3 firings');
    expect(notStated).toEqual(['geometry', 'linearity']);
    expect(line(setUpLines([stated({ seenShare: 1 })]).lines, 'geometry').origin).toBe(
      'The whole opening is lit and seen, as the user states: nothing is allowed.',
    );
  });

  it('gives no line of geometry for a share of nothing', () => {
    expect(setUpLines([stated({ seenShare: 0 })])).toMatchObject({
      lines: [],
      notStated: ['geometry', 'linearity'],
    });
  });

  it('misses the threshold of a comparator if one firing was timed by it', () => {
    const remarked = (code: RemarkCode) => changed(firing(), { remarks: [{ code }] });
    expect(setUpLines([firing(), remarked('open time only')]).notStated).toContain('threshold');
    expect(setUpLines([firing(), remarked('light changed')]).notStated).not.toContain('threshold');
    const comparator = changed(remarked('open time only'), { effective: null, total: seconds(0.018) });
    expect(setUpLines([{ ...comparator, setUp: { ...SET_UP_NOT_STATED, seenShare: 0.8 } }]).lines).toEqual(
      [],
    );
  });
});
