/** What becomes of jobs that an import writes over. */
import 'fake-indexeddb/auto';
import { expect, it, vi } from 'vitest';
import { LocalRecord } from '../../app/record/database.ts';
import { newJob } from '../../app/record/new-job.ts';
import { RecordError } from '../../app/record/record-error.ts';
import { jobFile, jobFileName } from '../../app/screens/actions/data-export.ts';
import { importFile, readForImport } from '../../app/screens/actions/data-import.ts';
import { changeJob, changesWritten, openJob } from '../../app/screens/actions/jobs.ts';
import { lookAtJobs } from '../../app/screens/actions/jobs-list.ts';
import { record } from '../../app/screens/actions/record.ts';
import { undo } from '../../app/screens/actions/undo.ts';
import { view } from '../../app/screens/view.ts';

const jobOf = (id: string, number = id) => newJob({ id, number, received: '2031-04-02T09:00:00.000Z' });
const nothing = () => {};
vi.stubGlobal('navigator', {
  locks: { request: async (_: string, __: unknown, act: (lock: object) => unknown) => act({}) },
});

it('can be taken back although the import broke off after it', async () => {
  const kept = await record();
  await kept.saveJob(jobOf('A-1'));
  await kept.saveJob(jobOf('B-2'));
  const { file } = await jobFile('everything');
  await kept.saveJob({ ...jobOf('A-1'), complaint: 'written since' });
  await kept.saveJob({ ...jobOf('B-2'), complaint: 'written since' });
  const { signal } = new AbortController();
  const read = await readForImport(file, nothing, signal);
  const whole = LocalRecord.prototype.addBundle;
  const full = new RecordError('full', 'The disk is full.');
  let replaced = 0;
  const failing = vi.spyOn(LocalRecord.prototype, 'addBundle').mockImplementation(function (
    this: LocalRecord,
    bundle,
    differing,
  ) {
    if (differing === 'replace' && replaced++ > 0) return Promise.reject(full);
    return whole.call(this, bundle, differing);
  });
  await expect(importFile(read, 'replace', nothing, signal)).rejects.toThrow('The disk is full.');
  failing.mockRestore();
  const complaints = async () =>
    Promise.all(['A-1', 'B-2'].map(async (id) => (await kept.loadJob(id)).complaint));
  expect((await complaints()).toSorted()).toEqual(['', 'written since']);
  expect(view.getState().undo).toBe('what the import replaced');
  await undo();
  expect(await complaints()).toEqual(['written since', 'written since']);
});

it('files of two jobs with one number have names of their own', async () => {
  await (await record()).saveJob(jobOf('C-3', 'A-1'));
  await lookAtJobs();
  expect(jobFileName('A-1')).not.toBe(jobFileName('C-3'));
  expect(jobFileName('B-2')).toBe('job-B-2.leafclock');
});

it('of the open job lose no change: none is taken while they are replaced', async () => {
  const kept = await record();
  await kept.saveJob(jobOf('D-4'));
  const { file } = await jobFile(['D-4']);
  await lookAtJobs();
  await openJob('D-4');
  changeJob((job) => ({ ...job, complaint: 'written since' }), 'complaint');
  const { signal } = new AbortController();
  const read = await readForImport(file, nothing, signal);
  const whole = LocalRecord.prototype.addBundle;
  const replacing = vi.spyOn(LocalRecord.prototype, 'addBundle').mockImplementation(async function (
    this: LocalRecord,
    bundle,
    differing,
  ) {
    changeJob((job) => ({ ...job, complaint: 'written meanwhile' }), 'complaint');
    void openJob('B-2');
    return whole.call(this, bundle, differing);
  });
  await importFile(read, 'replace', nothing, signal);
  replacing.mockRestore();
  await changesWritten();
  expect(view.getState().job).toMatchObject({ id: 'D-4', complaint: '' });
  expect((await kept.loadJob('D-4')).complaint).toBe('');
  expect(view.getState().notices.at(-1)!.text).toMatch(/A file is being read in/);
  await undo();
  expect(view.getState().job).toMatchObject({ id: 'D-4', complaint: 'written since' });
});
