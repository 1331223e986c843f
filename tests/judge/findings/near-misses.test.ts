/** What must not trigger, or not under that name: effects too small, data too few, causes of another kind. */
import { describe, expect, it } from 'vitest';
import type { FindingCode, FindingReading, FindingsInput } from '../../../app/judge/finding.ts';
import { findingsOf } from '../../../app/judge/findings/findings.ts';
import type { Remark } from '../../../app/measure/figures.ts';
import { seconds } from '../../../firmware-protocol/units.ts';
import { FAULTS } from './simulated-effects.ts';
import { type Change, type JobOptions, type Situation, simulatedJob } from './simulated-job.ts';

const SEEDS = [21, 22, 23, 24, 25, 26, 27, 28];
const codesOf = (input: FindingsInput) => findingsOf(input).map(({ code }) => code);
const codes = (options: Omit<JobOptions, 'seed'>) =>
  SEEDS.map((seed) => codesOf(simulatedJob({ seed, ...options })));
const none = SEEDS.map(() => []);
const changing = (change: (at: Situation) => Change) => codes({ change });

describe('one bad mark', () => {
  it.each(['1/4', '1/60', '1/125', '1/500'])('at %s is neither pallet nor governor nor drag', (label) => {
    for (const found of changing(({ mark }) => (mark.label === label ? { stops: -0.7 } : {}))) {
      expect(found).toEqual(['one mark off']);
    }
  });
  it('that equals its neighbour is not off for a second reason', () => {
    const found = changing(({ mark }) =>
      mark.label === '1/60' ? { asLongAs: { mark: '1/30', stops: 0 } } : {},
    );
    expect(found).toEqual(SEEDS.map(() => ['neighbours equal']));
  });
  it('that changed places with its neighbour is not off for a second reason', () => {
    const found = changing(({ mark }) =>
      mark.label === '1/60' ? { asLongAs: { mark: '1/30', stops: 0.4 } } : {},
    );
    expect(found).toEqual(SEEDS.map(() => ['order inverted']));
  });
});

describe('a fault of many marks goes under one name', () => {
  it('all marks alike: not the governor, its escapement or its pallet', () => {
    for (const stops of [0.5, -0.5]) {
      expect(changing(() => ({ stops }))).toEqual(SEEDS.map(() => ['all marks off']));
    }
  });
  it('a bypassed governor: no neighbours equal, no order inverted', () => {
    expect(codes({ condition: 'governor bypassed' })).toEqual(SEEDS.map(() => ['governor bypassed']));
  });
  it('marks that all lack half a stop are not bypassed', () => {
    expect(changing(({ mark }) => (mark.governor === 'none' ? {} : { stops: -0.5 }))).toEqual(
      SEEDS.map(() => ['escapement']),
    );
  });
  it('readings that drift are not taken for faults of the marks fired first or last', () => {
    for (const found of codes({ condition: 'warming' })) expect(found).toEqual(['drift over the series']);
  });
  it('two faults of different kinds both come up', () => {
    for (const seed of SEEDS) {
      const found = codesOf(
        simulatedJob({
          seed,
          condition: 'escapement worn',
          change: ({ mark }) => (mark.label === '1/15' ? { stops: -0.5 } : {}),
        }),
      );
      expect([...found].sort()).toEqual(['escapement', 'one mark off']);
    }
  });
});

describe('too small an effect', () => {
  it('an ordinary quarter of a stop at the top, or of a cam, is none', () => {
    expect(changing(({ mark }) => (mark.label === '1/500' ? { stops: 0.05 } : {}))).toEqual(none);
    expect(changing(({ mark }) => (mark.label === '1/8' ? { stops: 0.15 } : {}))).toEqual(none);
  });
  it('two quarter turns of the governor stay under its threshold', () => {
    expect(codes({ governorQuarterTurns: 2 })).toEqual(none);
    expect(codes({ governorQuarterTurns: -2 })).toEqual(none);
  });
  it.each([
    ['gummed lubricant', 0.08],
    ['slow marks erratic', 0.03],
    ['bench and body differ', 0.05],
    ['blade rebound', 3.5],
    ['steady glow', 1.1],
    ['drift over the series', 0.05],
  ] as const)('%s of %d', (code: FindingCode, size) => {
    for (const seed of SEEDS)
      expect(codesOf(simulatedJob({ seed, ...FAULTS[code](size, seed) }))).not.toContain(code);
  });
  it('a peak of 96 % is no low one', () => {
    const remarks: Remark[] = [{ code: 'low peak', value: 0.96 }];
    expect(changing(() => ({ remarks }))).toEqual(none);
  });
});

describe('too few data', () => {
  it('an empty stage, and one firing a mark, say nothing', () => {
    expect(findingsOf({ ...simulatedJob({ seed: 1 }), marks: [] })).toEqual([]);
    expect(codes({ firings: 0 })).toEqual(none);
    expect(codes({ firings: 1, condition: 'escapement worn' })).toEqual(none);
  });
  it('two firings a mark make no pattern; three do', () => {
    expect(codes({ firings: 2, condition: 'all slow' })).toEqual(none);
    expect(codes({ firings: 3, condition: 'all slow' })).toEqual(SEEDS.map(() => ['all marks off']));
  });
  it('three marks make none, four do', () => {
    const labels = ['1/30', '1/60', '1/125'];
    expect(codes({ labels, condition: 'all slow' })).toEqual(none);
    for (const found of codes({ labels: [...labels, '1/250'], condition: 'all slow' })) {
      expect(found).toEqual(['all marks off']);
    }
  });
  it('two rests are not three', () => {
    const job = (rests: string[]) => codes({ rests, change: ({ rested }) => (rested ? { stops: 0.5 } : {}) });
    expect(job(['1', '1/60'])).toEqual(none);
    expect(job(['1', '1/60', '1/250'])).toEqual(SEEDS.map(() => ['gummed lubricant']));
  });
  it('governed marks alone don’t tell their governor from what all marks share', () => {
    const labels = ['1/8', '1/15', '1/30', '1/60', '1/125'];
    for (const found of codes({ labels, condition: 'escapement worn' }))
      expect(found).toEqual(['all marks off']);
  });
  it('rebound in two firings, and in a few of many, is no habit', () => {
    const bumps = (ordinals: number[]) =>
      changing(({ ordinal }) => (ordinals.includes(ordinal) ? { reboundPeak: 0.2 } : {}));
    expect(bumps([3, 30])).toEqual(none);
    expect(bumps([3, 10, 20, 30, 40])).toEqual(none);
  });
  it('one firing at B that never closed may have been held', () => {
    const labels = ['B', '1/30', '1/60', '1/125'];
    const job = (open: number) =>
      codes({
        labels,
        change: ({ mark, ordinal }) => (mark.marked === null && ordinal <= open ? { neverCloses: true } : {}),
      });
    expect(job(1)).toEqual(none);
    expect(job(2)).toEqual(SEEDS.map(() => ['B or T hangs']));
  });
});

describe('a shutter of which nothing is stated', () => {
  const unknown = { governed: [], pallet: [], booster: [], fromCentre: true };
  it('has no finding on its governor', () => {
    for (const seed of SEEDS) {
      for (const options of [
        { condition: 'governor bypassed' },
        { condition: 'pallet dirty' },
        {},
      ] as const) {
        const found = codesOf({
          ...simulatedJob({ seed, governorQuarterTurns: 6, ...options }),
          profile: unknown,
        });
        for (const code of [
          'governor engagement',
          'escapement',
          'pallet',
          'governor bypassed',
          'slow marks erratic',
        ]) {
          expect(found).not.toContain(code);
        }
      }
    }
  });
  it('still shows what needs no such list', () => {
    for (const condition of ['cam step worn', 'all slow', 'blade drag', 'booster not engaged'] as const) {
      expect(codesOf({ ...simulatedJob({ seed: 3, condition }), profile: unknown })).toHaveLength(1);
    }
  });
});

describe('the marks of a booster spring', () => {
  it('are named as such where the profile lists them', () => {
    const job = simulatedJob({ seed: 3, condition: 'booster not engaged' });
    const [finding] = findingsOf({ ...job, profile: { ...job.profile, booster: ['1/500'] } });
    expect(finding!.suggests).toMatch(/^Suggests that the booster spring does not engage at 1\/500\./);
  });
});

describe('B and T', () => {
  const reading = (time: number): FindingReading => ({
    ...simulatedJob({ seed: 1, firings: 1 }).marks[0]!.readings[0]!,
    id: `of ${time} s`,
    time: seconds(time),
  });
  const bulb = (outcome: 'stuck open' | 'not tried' | null, ...times: number[]): FindingsInput => ({
    profile: { governed: [], pallet: [], booster: [], fromCentre: true },
    marks: [{ label: 'T', reference: null, outcome, readings: times.map(reading) }],
  });
  it('recorded as stuck open hang', () => {
    const [finding] = findingsOf(bulb('stuck open'));
    expect(finding).toMatchObject({ code: 'B or T hangs', marks: ['T'], readings: [], significance: null });
    expect(finding!.seen).toBe('At T: T is recorded as stuck open.');
  });
  it('that close sooner than a hand lets go close early', () => {
    const [finding] = findingsOf(bulb(null, 0.004, 0.9, 0.006));
    expect(finding!.seen).toContain('two firings closed within 30 ms');
    expect(finding!.readings).toEqual(['of 0.004 s', 'of 0.006 s']);
  });
  it('are well otherwise', () => {
    expect(findingsOf(bulb('not tried'))).toEqual([]);
    expect(findingsOf(bulb(null, 0.004, 0.9, 0.06))).toEqual([]);
    expect(findingsOf(bulb(null, 0.5, 20))).toEqual([]);
  });
});

describe('readings that don’t count', () => {
  it('change no finding on times', () => {
    const job = simulatedJob({ seed: 2 });
    const spoilt: FindingReading = {
      ...job.marks[0]!.readings[0]!,
      id: 'spoilt',
      time: null,
      counted: false,
    };
    const setAside: FindingReading = { ...spoilt, id: 'set aside', time: seconds(9), ordinal: 99 };
    const marks = job.marks.map((mark) => ({ ...mark, readings: [...mark.readings, spoilt, setAside] }));
    expect(findingsOf({ ...job, marks })).toEqual([]);
  });
});
