import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { programmePlace } from '../../app/judge/programme-place.ts';
import { defaultProgrammes, programmeProblems } from '../../app/judge/programmes.ts';
import { LEAF_SERIES, seriesFromLabels } from '../../app/judge/series.ts';

const step = (mark: string, firings: number) => ({ mark, firings });
const fired = (...marks: string[]) => marks.map((mark, index) => ({ mark, ordinal: index + 1 }));
const PROGRAMME = { steps: [step('1/4', 2), step('1/8', 1), step('1/4', 1)] };

describe('the place in a programme', () => {
  it('begins with its first step', () => {
    expect(programmePlace(PROGRAMME, [], [])).toEqual({
      step: 0,
      now: step('1/4', 2),
      firing: 1,
      of: 2,
      next: step('1/8', 1),
      done: 0,
      total: 4,
    });
  });

  it('counts within a step, goes on when it is full, and is done after the last', () => {
    expect(programmePlace(PROGRAMME, fired('1/4'), [])).toMatchObject({ step: 0, firing: 2, of: 2, done: 1 });
    expect(programmePlace(PROGRAMME, fired('1/4', '1/4'), [])).toMatchObject({ step: 1, firing: 1, of: 1 });
    expect(programmePlace(PROGRAMME, fired('1/4', '1/4', '1/8'), [])).toMatchObject({
      step: 2,
      next: null,
      done: 3,
    });
    expect(programmePlace(PROGRAMME, fired('1/4', '1/4', '1/8', '1/4'), [])).toEqual({
      step: null,
      now: null,
      firing: 0,
      of: 0,
      next: null,
      done: 4,
      total: 4,
    });
  });

  it('gives firings in their order, whatever order they come in', () => {
    const backwards = fired('1/4', '1/4', '1/8').toReversed();
    expect(programmePlace(PROGRAMME, backwards, []).step).toBe(2);
  });

  it('keeps a firing for its step when the dial was turned too early', () => {
    const place = programmePlace(PROGRAMME, fired('1/4', '1/8'), []);
    expect(place).toMatchObject({ step: 0, firing: 2, done: 2, next: step('1/4', 1) });
  });

  it('ignores marks and firings that nobody asked for', () => {
    const place = programmePlace(PROGRAMME, fired('1/500', '1/8', '1/8', 'B'), []);
    expect(place).toMatchObject({ step: 0, firing: 1, done: 1, total: 4 });
  });

  it('goes back when a firing is moved to another mark or set aside', () => {
    const moved = fired('1/4', '1/4', '1/8').map((f) => (f.ordinal === 2 ? { ...f, mark: '1/2' } : f));
    expect(programmePlace(PROGRAMME, moved, [])).toMatchObject({ step: 0, firing: 2 });
  });

  it('passes over steps left out, whose firings count for a later step of the same mark', () => {
    expect(programmePlace(PROGRAMME, [], [0])).toMatchObject({ step: 1, total: 2, next: step('1/4', 1) });
    expect(programmePlace(PROGRAMME, fired('1/4'), [0])).toMatchObject({ step: 1, done: 1, next: null });
    expect(programmePlace(PROGRAMME, [], [0, 1, 2])).toMatchObject({ step: null, total: 0 });
    expect(programmePlace(PROGRAMME, [], [7, -1])).toMatchObject({ step: 0, total: 4 });
  });

  it('is done at once without steps', () => {
    expect(programmePlace({ steps: [] }, fired('1/4'), [])).toMatchObject({ step: null, done: 0, total: 0 });
  });

  it('is reached by firing what it asks for, however it goes on', () => {
    const marks = fc.constantFrom('1', '1/2', '1/4');
    const steps = fc.array(fc.record({ mark: marks, firings: fc.integer({ min: 1, max: 4 }) }), {
      maxLength: 8,
    });
    fc.assert(
      fc.property(steps, fc.array(marks, { maxLength: 12 }), (plan, others) => {
        const shots = fired(...others);
        let place = programmePlace({ steps: plan }, shots, []);
        for (let more = 0; place.now !== null; more++) {
          expect(more).toBeLessThanOrEqual(place.total);
          const before = place.done;
          shots.push({ mark: place.now.mark, ordinal: shots.length + 1 });
          place = programmePlace({ steps: plan }, shots, []);
          expect(place.done).toBe(before + 1);
        }
        expect(place.done).toBe(place.total);
      }),
      { seed: 20260411, numRuns: 200 },
    );
  });
});

describe('programmes for a series', () => {
  it('go over its timed marks, B left to the hand', () => {
    const [slow, fast, quick] = defaultProgrammes(LEAF_SERIES, 5);
    expect(slow!.steps.map(({ mark }) => mark)).toEqual(
      '1 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500'.split(' '),
    );
    expect(fast!.steps).toEqual(slow!.steps.toReversed());
    expect(slow!.steps.every(({ firings }) => firings === 5)).toBe(true);
    expect(quick!.steps.every(({ firings }) => firings === 1)).toBe(true);
    expect(defaultProgrammes(LEAF_SERIES, 3).flatMap((one) => programmeProblems(one, LEAF_SERIES))).toEqual(
      [],
    );
  });

  it('are not offered for a series without a time', () => {
    expect(defaultProgrammes(seriesFromLabels('bulb', 'Bulb', ['T', 'B']), 3)).toEqual([]);
  });
});

describe('what is wrong with a programme', () => {
  it('names marks that the ring does not carry, each once', () => {
    const problems = programmeProblems(
      { name: 'Mine', steps: [step('1/25', 3), step('1/60', 3), step('1/25', 1), step('2', 1)] },
      LEAF_SERIES,
    );
    expect(problems).toEqual([
      'The series “Doubling, 1 to 1/500” has no 1/25, no 2 s: two marks of the programme can’t be fired on it.',
    ]);
    expect(programmeProblems({ name: 'x', steps: [step('1/25', 3)] }, LEAF_SERIES)[0]).toContain(
      'one mark of the programme',
    );
  });

  it.each([0, -1, 1.5, Number.NaN, 101])('refuses %d firings', (firings) => {
    const problems = programmeProblems({ name: 'Mine', steps: [step('1/60', firings)] }, LEAF_SERIES);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(`Step 1 (1/60): the number of firings must be a whole number`);
  });

  it('asks for a name and at least one step', () => {
    expect(programmeProblems({ name: ' ', steps: [] }, LEAF_SERIES)).toEqual([
      'The programme needs a name.',
      'The programme has no steps.',
    ]);
    const long = Array.from({ length: 201 }, () => step('1/60', 1));
    expect(programmeProblems({ name: 'Long', steps: long }, LEAF_SERIES)).toHaveLength(1);
  });
});
