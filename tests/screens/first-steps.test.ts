import { describe, expect, it } from 'vitest';
import { demonstrationJob } from '../../app/record/demonstration-job.ts';
import { stepsDone } from '../../app/screens/help-first-steps-done.ts';
import { type Reading, type View, view } from '../../app/screens/view.ts';

const job = demonstrationJob({ id: 'job-1', number: '0001', received: '2031-03-20T12:00:00Z' });
const firings = (mark: string, n: number, changes: Partial<Reading> = {}) =>
  Array.from({ length: n }, () => ({ mark, stage: 'as found', kept: 'recorded', spoilt: null, ...changes }));
const doneAfter = (changes: object, before: Parameters<typeof stepsDone>[1] = []) =>
  stepsDone({ ...view.getState(), ...changes } as View, before);
const live = { source: 'practice', session: { phase: 'live' } };

describe('the first steps', () => {
  it('are ticked by what was done', () => {
    expect(doneAfter({})).toEqual([]);
    expect(doneAfter(live)).toEqual(['open']);
    expect(doneAfter({ ...live, job, readings: firings('1/60', 2) })).toEqual(['open']);
    expect(doneAfter({ ...live, job, readings: firings('1/60', 3) })).toEqual(['open', 'fire']);
    const two = [...firings('1/60', 3), ...firings('1/125', 3)];
    expect(doneAfter({ ...live, job, readings: two })).toEqual(['open', 'fire', 'next speed']);
    const issued = [{ kind: 'certificate', number: '1', at: '2031-03-20T13:00:00Z', dataSha256: null }];
    expect(doneAfter({ ...live, job: { ...job, issued }, readings: two })).toEqual([
      'open',
      'fire',
      'next speed',
      'certificate',
    ]);
  });

  it('stay ticked when the board is gone and another job is open', () => {
    expect(doneAfter({}, ['open', 'fire'])).toEqual(['open', 'fire']);
  });

  it('count no spoilt firing, none that is not recorded, and no two stages as one', () => {
    const spoilt = firings('1/60', 3, { spoilt: 'data missing' });
    expect(doneAfter({ job, readings: spoilt })).toEqual([]);
    expect(doneAfter({ job, readings: firings('1/60', 3, { kept: 'not recorded' }) })).toEqual([]);
    const mixed = [...firings('1/60', 2), ...firings('1/60', 1, { stage: 'trials' })];
    expect(doneAfter({ job, readings: mixed })).toEqual([]);
  });
});
