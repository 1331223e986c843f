import 'fake-indexeddb/auto';
import { beforeEach, expect, it, vi } from 'vitest';
import type { IssuedPaper } from '../../app/record/job.ts';
import { summaryOf } from '../../app/record/job-summary.ts';
import { newJob } from '../../app/record/new-job.ts';
import {
  awaitPicture,
  barringJobs,
  changeJob,
  changesWritten,
  noteInJob,
  openJob,
  recordOutcome,
  setJobState,
} from '../../app/screens/actions/jobs.ts';
import { changeKeptJob, removeJob } from '../../app/screens/actions/jobs-list.ts';
import { record } from '../../app/screens/actions/record.ts';
import { forgetSteps, undo } from '../../app/screens/actions/undo.ts';
import { view } from '../../app/screens/view.ts';

const job = newJob({ id: 'A-1', number: 'A-1', received: '2021-04-02T09:00:00.000Z' });
const paper: IssuedPaper = {
  kind: 'job sheet',
  number: 'A-1-1',
  at: '2031-04-03T09:00:00.000Z',
  dataSha256: null,
};

const locked = new Set<string>();
vi.stubGlobal('navigator', {
  locks: {
    request: async (name: string, _: unknown, act: (lock: object | null) => Promise<void> | undefined) => {
      if (locked.has(name)) return act(null);
      locked.add(name);
      await act({});
      locked.delete(name);
    },
  },
});

beforeEach(async () => {
  forgetSteps();
  await (await record()).saveJob(job);
  view.setState({ job, jobs: [summaryOf(job)], notices: [] });
});

const kept = async () => {
  await changesWritten();
  return (await record()).loadJob('A-1');
};

it('takes back one change and leaves what has come since', async () => {
  changeJob((j) => ({ ...j, complaint: 'drags' }), 'complaint');
  await noteInJob((j) => ({ ...j, issued: [...j.issued, paper] }));
  expect(view.getState().undo).toBe('complaint');
  await undo();
  const now = await kept();
  expect(now.complaint).toBe('');
  expect(now.issued).toEqual([paper]);
  expect(view.getState().job).toEqual(now);
});

it('writes each state with its time and keeps the list in step, back and forth', async () => {
  setJobState('on the bench');
  setJobState('resting');
  expect((await kept()).states.map(({ state }) => state)).toEqual(['received', 'on the bench', 'resting']);
  const [summary] = view.getState().jobs;
  expect(summary).toEqual(summaryOf(view.getState().job!));
  expect(Date.parse(summary!.since)).toBeGreaterThan(Date.parse(job.received));
  await undo();
  expect(view.getState().jobs[0]!.state).toBe('on the bench');
  expect((await kept()).states).toHaveLength(2);
});

it('shows the job as it was when a change can’t be written, and says why', async () => {
  const nonsense = { ...paper, dataSha256: 'none' };
  changeJob((j) => ({ ...j, issued: [nonsense] }), 'nonsense');
  expect(view.getState().undo).toBe('nonsense');
  await changesWritten();
  await expect.poll(() => view.getState().undo).toBeNull();
  expect(view.getState().job).toEqual(job);
  expect(view.getState().notices.at(-1)).toMatchObject({ tone: 'trouble' });
  await expect(noteInJob((j) => ({ ...j, issued: [nonsense] }))).rejects.toThrow('issued');
  expect(view.getState().job?.issued).toEqual([]);
  expect((await kept()).issued).toEqual([]);
});

it('keeps an outcome and a change that come at once', async () => {
  view.setState({ stage: 'as found', mark: '1/60' });
  recordOutcome('stuck open');
  changeJob((j) => ({ ...j, complaint: 'drags' }), 'complaint');
  expect(await kept()).toMatchObject({
    complaint: 'drags',
    stages: { 'as found': { outcomes: { '1/60': 'stuck open' } } },
  });
  expect(view.getState().job).toEqual(await kept());
  await undo();
  await undo();
  expect(await kept()).toEqual(job);
});

it('taken off the list closes no other job that was opened meanwhile', async () => {
  const other = newJob({ id: 'B-2', number: 'B-2', received: '2021-04-03T09:00:00.000Z' });
  const removing = removeJob(job);
  view.setState({ job: other });
  await removing;
  expect(view.getState().job).toBe(other);
  expect((await kept()).removed).not.toBeNull();
});

it('opens on a double click, and keeps open what was asked for last', async () => {
  const other = newJob({ id: 'B-2', number: 'B-2', received: '2021-04-03T09:00:00.000Z' });
  await (await record()).saveJob(other);
  view.setState({ job: null });
  await Promise.all([openJob('B-2'), openJob('B-2')]);
  expect(view.getState().job).toEqual(other);
  expect(view.getState().notices).toEqual([]);
  await Promise.all([openJob('A-1'), openJob('B-2'), openJob('A-1')]);
  expect(view.getState().job?.id).toBe('A-1');
});

it('opened anew, is shown with what is changed while it is read', async () => {
  const again = openJob('A-1');
  const read = (await record()).loadJob('A-1');
  await read;
  changeJob((j) => ({ ...j, complaint: 'drags' }), 'complaint');
  await again;
  expect(view.getState().job).toEqual(await kept());
  expect(view.getState().job!.complaint).toBe('drags');
});

const OTHER = newJob({ id: 'B-2', number: 'B-2', received: '2021-04-03T09:00:00.000Z' });

it('takes what comes for a job that is just being opened, and says nothing of another tab', async () => {
  await (await record()).saveJob(OTHER);
  await openJob('A-1');
  const drags = (j: typeof job) => ({ ...j, complaint: 'drags' });
  await Promise.all([openJob('B-2'), changeKeptJob('B-2', drags, 'complaint')]);
  // The other way round as well: opening waits for what is written.
  await Promise.all([changeKeptJob('A-1', drags, 'complaint'), openJob('A-1')]);
  await changesWritten();
  expect(view.getState().notices).toEqual([]);
  expect(view.getState().job).toMatchObject({ id: 'A-1', complaint: 'drags' });
  expect((await (await record()).loadJob('B-2')).complaint).toBe('drags');
});

it('keeps a picture until the last one on its way has its note', async () => {
  const database = await record();
  const picture = { id: 'picture-1', jobId: 'A-1', type: 'image/jpeg', width: 1, height: 1 } as const;
  await database.savePicture({ ...picture, bytes: Uint8Array.of(1) });
  const arrived = [awaitPicture('A-1'), awaitPicture('A-1')];
  arrived[0]!();
  await openJob('A-1');
  expect(await database.loadPicture('picture-1')).not.toBeNull();
  arrived[1]!();
  await openJob('A-1');
  expect(await database.loadPicture('picture-1')).toBeNull();
});

it('opens and changes no job while jobs are read in, and notes a paper afterwards', async () => {
  await (await record()).saveJob(OTHER);
  await openJob('A-1');
  let over = () => {};
  const lasting = new Promise<void>((resolve) => {
    over = resolve;
  });
  let reading = lasting;
  await new Promise<void>((begun) => {
    reading = barringJobs(() => {
      begun();
      return lasting;
    });
  });
  changeJob((j) => ({ ...j, complaint: 'drags' }), 'complaint');
  const noting = noteInJob((j) => ({ ...j, issued: [...j.issued, paper] }));
  await openJob('B-2');
  expect(view.getState().job).toMatchObject({ id: 'A-1', complaint: '', issued: [] });
  await expect.poll(() => view.getState().undo).toBeNull();
  expect(view.getState().notices.at(-1)!.text).toMatch(/A file is being read in/);
  over();
  await Promise.all([reading, noting]);
  expect(await kept()).toMatchObject({ complaint: '', issued: [paper] });
  await openJob('B-2');
  expect(view.getState().job?.id).toBe('B-2');
});
