import { expect, it } from 'vitest';
import { flashMarks } from '../../app/certificate/flash-marks.ts';
import type { ContactFigures } from '../../app/measure/figures.ts';
import type { Check, Job } from '../../app/record/job.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { inventedFigures, inventedFiring, inventedJob } from './invented-job.ts';

/** A contact that closes so many seconds after 80 % open, in a firing whose blades close 15 ms after that. */
const contactAt = (after: number): ContactFigures => ({
  closed: seconds(0.2 + after),
  closedBefore: false,
  bounces: 1,
  bounceTime: seconds(1e-4),
  parted: seconds(0.23),
  closedTime: seconds(0.02),
  lost: 0,
  openAtClosure: 0.95,
  open80: seconds(0.2),
  open90: seconds(0.2003),
  closing90: seconds(0.215),
});
const firing = (
  ordinal: number,
  contact: ContactFigures | null,
  changes: Partial<Parameters<typeof inventedFiring>[4]> = {},
) =>
  inventedFiring('as found', '1/60', ordinal, inventedFigures(1 / 60, { contact }), {
    sync: 'X',
    ...changes,
  });
const tested = (state: 'works' | 'never closed', at: string): Check => ({
  kind: 'contact lead',
  at,
  stage: 'as found',
  result: { state, closures: state === 'works' ? 1 : 0, bounces: 0, seconds: 6 },
});
const plain: Job = { ...inventedJob(), checks: [], flashDuration: seconds(1e-3) };

it('takes the firings of a stage and setting, mark by mark, each by itself as well', () => {
  const all = [
    firing(3, contactAt(0.0005)),
    firing(1, contactAt(0.0003)),
    firing(2, contactAt(0.0004), { setAside: 'bumped' }),
    firing(4, contactAt(-0.015), { sync: 'M' }),
    firing(5, contactAt(0.0002), { sync: 'not stated' }),
    inventedFiring('as left', '1/60', 6, inventedFigures(1 / 60, { contact: contactAt(0.02) }), {
      sync: 'X',
    }),
  ];
  const { marks, notStated } = flashMarks(plain, all, 'as found', 'X');
  expect(marks.map(({ speed }) => speed.label)).toEqual(['1/60']);
  expect(marks[0]!.firings.map(({ ordinal }) => ordinal)).toEqual([1, 2, 3, 5]);
  expect(marks[0]!.result).toMatchObject({ verdict: 'in time', n: 3, closed: 3 });
  // 15 ms from 80 % open to 90 % closed, less the flash and the closure's own delay.
  expect(marks[0]!.firings[0]!.result.margin!.mean).toBeCloseTo(0.015 - 0.0003 - 0.001, 9);
  expect(marks[0]!.firings[1]!.result.n).toBe(0);
  expect(notStated).toBe(1);
  const m = flashMarks(plain, all, 'as found', 'M');
  expect(m.marks[0]!.result).toMatchObject({ verdict: 'in time', n: 1 });
  expect(m.notStated).toBe(0);
  expect(flashMarks(plain, all, 'trials', 'X').marks).toEqual([]);
});

it('tells a dead contact from a lead of which nothing is known, or that failed its test', () => {
  const dead = [firing(1, null)];
  const seen = (checks: readonly Check[], firings = dead) =>
    flashMarks({ ...plain, checks }, firings, 'as found', 'X');
  expect(seen([]).leadNow).toBe('not known');
  expect(seen([]).marks[0]!.result.verdict).toBe('cannot be told');
  expect(seen([tested('works', '2031-03-03T09:00:00Z')]).leadNow).toBe('works');
  expect(seen([tested('works', '2031-03-03T09:00:00Z')]).marks[0]!.result.verdict).toBe('never closed');
  // Fired at 9:00 UTC: a test that failed before is over once the contact has closed, a later one is not.
  const closed = [firing(1, contactAt(0.0003))];
  expect(seen([tested('never closed', '2031-03-03T08:00:00Z')], closed).leadNow).toBe('works');
  expect(seen([tested('never closed', '2031-03-03T10:00:00Z')], closed).leadNow).toBe('fails');
  expect(seen([tested('never closed', '2031-03-03T08:00:00Z')]).leadNow).toBe('fails');
  // The lead just failed: that a contact stayed open says nothing of the contact.
  const failed = [tested('never closed', '2031-03-03T10:00:00Z')];
  const [mark] = seen(failed, [...closed, firing(2, null, { mark: '1/30' })]).marks;
  expect(mark).toMatchObject({ speed: { label: '1/30' }, result: { verdict: 'cannot be told' } });
});
