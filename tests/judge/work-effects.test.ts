import { describe, expect, it } from 'vitest';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { effectInterval, effectWords, workEffectSentences } from '../../app/judge/work-effect-sentences.ts';
import { type WorkInput, workEffects } from '../../app/judge/work-effects.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { reading } from './sample-readings.ts';
import { BARE, fired, IN_BODY, shots, step } from './work-firings.ts';

const GOVERNED = ['1/15', '1/30', '1/60', '1/125'];

const effectsOf = (
  steps: WorkInput['steps'],
  readings: WorkInput['readings'],
  more: Partial<WorkInput> = {},
) =>
  workEffects({
    steps,
    readings,
    series: LEAF_SERIES,
    referenceRule: 'marked',
    profile: { governed: GOVERNED },
    ...more,
  });

/** Scatter of 0.02 stop about zero. */
const about = (error: number) => [error - 0.02, error, error + 0.02];

describe('what a step did to each mark', () => {
  const readings = fired(
    shots('1/60', about(0.4)),
    shots('1/125', about(0.1)),
    shots('1/60', about(0.1)),
    shots('1/125', about(0.11)),
  );
  const [effect] = effectsOf([step(6)], readings);

  it('is the mean after less the mean before, with its interval', () => {
    const sixtieth = effect!.marks.find(({ label }) => label === '1/60')!;
    expect(sixtieth.before.meanError).toBeCloseTo(0.4, 12);
    expect(sixtieth.after.meanError).toBeCloseTo(0.1, 12);
    expect(sixtieth.before.sd).toBeCloseTo(0.02, 12);
    expect(sixtieth.change).toBeCloseTo(-0.3, 12);
    // Equal spreads and numbers: Welch has 4 degrees of freedom, t = 2.7764 (NIST table).
    const half = 2.7764 * Math.sqrt((2 * 0.02 ** 2) / 3);
    expect(sixtieth.interval!.lower).toBeCloseTo(-0.3 - half, 5);
    expect(sixtieth.interval!.upper).toBeCloseTo(-0.3 + half, 5);
    expect(sixtieth).toMatchObject({ significant: true, large: true, unlike: [] });
  });

  it('is called no change where it could be chance', () => {
    const other = effect!.marks.find(({ label }) => label === '1/125')!;
    expect(other).toMatchObject({ significant: false, large: false });
    expect(effectWords(other)).toBe('no change shown');
    expect(effectInterval(other)).toMatch(/^−0\.04 to \+0\.06 EV$/);
  });

  it('stands in the order of the series, with the marks that were not fired beside', () => {
    expect(effect!.marks.map(({ label }) => label)).toEqual(['1/60', '1/125']);
    expect(effect!.notCompared).toHaveLength(8);
    expect(effect!.notCompared[0]).toEqual({ label: '1', missing: 'before and after' });
  });

  it('is said in stops, small where it is', () => {
    expect(effectWords(effect!.marks[0]!)).toBe('0.30 EV shorter');
    const [small] = effectsOf(
      [step(3)],
      fired(shots('1/60', [0, 0.001, 0.002]), shots('1/60', [0.05, 0.051, 0.052])),
    );
    expect(effectWords(small!.marks[0]!)).toBe('0.05 EV longer, small');
  });
});

describe('which firings are compared', () => {
  it('those since the work before, up to the work after', () => {
    const readings = fired(shots('1/60', about(1)), shots('1/60', about(0.5)), shots('1/60', about(0.2)));
    const effects = effectsOf([step(6), step(3)], readings);
    expect(effects.map(({ marks }) => Number(marks[0]!.change.toFixed(6)))).toEqual([-0.5, -0.3]);
    expect(effects.map(({ steps }) => steps[0]!.afterFiring)).toEqual([3, 6]);
  });

  it('steps without a counted firing in between make one group, in the order of their time', () => {
    const readings = fired(
      shots('1/60', about(1)),
      [{ mark: '1/60', error: 3, setAside: 'slipped' }],
      [{ mark: 'B', error: 0 }],
      shots('1/60', about(0.5)),
    );
    const late = step(3, { id: 'late', at: '2026-03-01T11:00:00+01:00' });
    const effects = effectsOf([late, step(5, { id: 'last' }), step(3, { id: 'early' })], readings);
    expect(effects).toHaveLength(1);
    expect(effects[0]!.steps.map(({ id }) => id)).toEqual(['early', 'late', 'last']);
    expect(workEffectSentences(effects[0]!)[0]).toContain('no firing between these three steps');
  });

  it('only those that count, at marks with a time that the series still has', () => {
    const readings = [
      ...fired(shots('1/60', about(0)), shots('B', about(0)), shots('1/3', about(0))),
      ...[10, 11, 12].map((ordinal) => ({ ...reading(null), mark: '1/60', ordinal, assembly: BARE })),
    ];
    const [effect] = effectsOf([step(9)], readings);
    expect(effect!.marks).toEqual([]);
    expect(effect!.notCompared).toContainEqual({ label: '1/60', missing: 'after' });
    expect(workEffectSentences(effect!)).toEqual([
      'No mark was fired both before and after it: what it did is not known.',
    ]);
  });

  it('says which marks were not fired on both sides', () => {
    const readings = fired(
      shots('1/60', about(0)),
      shots('1/30', about(0)),
      shots('1/60', about(0)),
      shots('1/125', about(0)),
      shots('1/250', about(0)),
    );
    const [effect] = effectsOf([step(6)], readings);
    const words = workEffectSentences(effect!);
    expect(words).toContain('Not fired after it, so not compared: 1/30.');
    expect(words).toContain('Not fired before it, so not compared: 1/125 and 1/250.');
    expect(words.join()).toContain('Not fired before or after it, so not compared: 1 s, 1/2');
  });

  it('a single firing has no interval and shows no change', () => {
    const [effect] = effectsOf([step(3)], fired(shots('1/60', about(0)), shots('1/60', [2])));
    expect(effect!.marks[0]).toMatchObject({ interval: null, probability: null, significant: false });
    expect(effect!.marks[0]!.change).toBeCloseTo(2, 12);
    expect(effectWords(effect!.marks[0]!)).toBe('too few firings to tell');
    expect(effectInterval(effect!.marks[0]!)).toBe('–');
  });

  it('no steps, or steps before any firing', () => {
    expect(effectsOf([], fired(shots('1/60', about(0))))).toEqual([]);
    const [effect] = effectsOf([step(0)], fired(shots('1/60', about(0))));
    expect(effect!.marks).toEqual([]);
    expect(effect!.notCompared).toContainEqual({ label: '1/60', missing: 'before' });
    expect(effectsOf([step(0)], [])).toHaveLength(1);
  });

  it('goes by the reference that the job asks for', () => {
    const readings = fired(shots('1/60', about(0)), shots('1/60', about(0)));
    const [effect] = effectsOf([step(3)], readings, { referenceRule: 'exact' });
    expect(effect!.marks[0]!.before.meanError).toBeCloseTo(0.0931, 4);
  });
});

describe('states of assembly', () => {
  it('firings of a state that is on both sides are compared alone', () => {
    const readings = fired(
      shots('1/60', about(2), IN_BODY),
      shots('1/60', about(0.5)),
      shots('1/60', about(0.1)),
      shots('1/60', about(1), IN_BODY),
      shots('1/60', [1], IN_BODY),
    );
    // In the body three before and four after, bare three and three: both pairs have a least of three.
    const [effect] = effectsOf([step(6)], readings);
    expect(effect!.unlike).toEqual([]);
    expect(effect!.marks[0]!.change).toBeCloseTo(-0.4, 12);
  });

  it('unlike ones are compared with a warning that says what differs', () => {
    const readings = fired(
      shots('1/60', about(0.5), IN_BODY),
      shots('1/125', about(0.5)),
      shots('1/60', about(0.1), { ...BARE, iris: 'f/8' }),
      shots('1/125', about(0.1), { ...BARE, iris: ' Wide open' }),
    );
    const [effect] = effectsOf([step(6)], readings);
    expect(effect!.unlike).toEqual(['mounting', 'iris']);
    expect(effect!.marks.map(({ unlike }) => unlike)).toEqual([['mounting', 'iris'], []]);
    expect(workEffectSentences(effect!)[0]).toBe(
      'At 1/60 the shutter stood otherwise after this work than before it (mounting, iris): a change need not come from the work.',
    );
  });
});

describe('chance', () => {
  it('is counted over all marks of a step: ten marks that don’t change show one in at most 5 of a hundred jobs', () => {
    const normal = seededNormal(seededRandom(20260502));
    const marks = LEAF_SERIES.speeds.filter(({ marked }) => marked !== null).map(({ label }) => label);
    const some = (n: number) => Array.from({ length: n }, () => 0.05 * normal());
    let alarms = 0;
    const jobs = 400;
    for (let i = 0; i < jobs; i++) {
      const readings = fired(
        ...marks.map((label) => shots(label, some(4))),
        ...marks.map((label) => shots(label, some(4))),
      );
      const [effect] = effectsOf([step(40)], readings);
      if (effect!.marks.some(({ significant }) => significant)) alarms++;
    }
    expect(alarms / jobs).toBeLessThan(0.05 + 0.022);
  });

  /** Firings and spreads before and after; the truth is a change of 0.2 stop. */
  it.each([
    [5, 0.03, 5, 0.03],
    [5, 0.1, 5, 0.03],
    [4, 0.06, 6, 0.03],
    [3, 0.05, 3, 0.05],
  ])(
    'the interval of %i firings with SD %f against %i with %f holds the truth in 94 to 96 of 100',
    (n, s, m, z) => {
      const normal = seededNormal(seededRandom(20260510 + n + m));
      let held = 0;
      const jobs = 2000;
      for (let i = 0; i < jobs; i++) {
        const before = Array.from({ length: n }, () => 0.3 + s * normal());
        const after = Array.from({ length: m }, () => 0.5 + z * normal());
        const [effect] = effectsOf([step(n)], fired(shots('1/60', before), shots('1/60', after)));
        const { lower, upper } = effect!.marks[0]!.interval!;
        if (lower <= 0.2 && upper >= 0.2) held++;
      }
      expect(held / jobs).toBeGreaterThan(0.94);
      // With three and three Welch's interval is wider than it need be.
      expect(held / jobs).toBeLessThan(n === 3 ? 0.98 : 0.96);
    },
  );
});
