import 'fake-indexeddb/auto';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { openRecord } from '../../app/record/database.ts';
import { summaryOf } from '../../app/record/job-summary.ts';
import { RECORD_VERSION } from '../../app/record/schema.ts';
import { freshName, open, recordError } from './record-under-test.ts';
import { fullJob } from './sample-job-parts.ts';
import { sampleJob } from './sample-records.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

describe('jobs', () => {
  it('are listed by the instant they were received, whatever their zone', async () => {
    const { record } = await open();
    // 09:30 at +02:00 is 07:30 UTC, before 08:00 UTC though it reads later.
    await record.saveJob(sampleJob('job-2', { received: '2024-05-02T08:00:00Z', number: '0002' }));
    const { jobs } = await record.listJobs();
    expect(jobs.map(({ id }) => id)).toEqual(['job-2', 'job-1']);
  });

  it('get numbers that no other tab gets', async () => {
    const { name, record } = await open();
    const other = await openRecord({ name });
    const given = await Promise.all(
      [record, other, record, other, other].map((each) => each.nextJobNumber()),
    );
    // The first is the job's that is there.
    expect(given.toSorted()).toEqual(['0002', '0003', '0004', '0005', '0006']);
  });

  it('never get a number that a job has already, wherever it comes from', async () => {
    const { record } = await open();
    await record.saveJob(sampleJob('job-2', { number: '0002' }));
    await record.saveJob(sampleJob('job-3', { number: '0004', removed: '2024-05-02T08:00:00Z' }));
    expect(await record.nextJobNumber()).toBe('0003');
    expect(await record.nextJobNumber()).toBe('0005');
    // Given back by hand: the count goes on all the same.
    await record.saveJob(sampleJob('job-2', { number: 'A-2' }));
    expect(await record.nextJobNumber()).toBe('0006');
  });
});

describe('the list', () => {
  it('shows of each job what lists need, those taken off it too', async () => {
    const { record } = await open();
    const job = fullJob('job-2', {
      number: '0002',
      received: '2024-05-03T09:30:00+02:00',
      customer: { name: 'Customer of a test', contact: 'Lantern Lane 7' },
    });
    await record.saveJob(job);
    const { jobs } = await record.listJobs();
    expect(jobs).toEqual([
      {
        id: 'job-2',
        number: '0002',
        received: '2024-05-03T09:30:00+02:00',
        state: 'waiting for parts',
        since: '2024-05-03T11:00:00+02:00',
        customer: 'Customer of a test',
        camera: job.camera,
        complaint: '',
        invented: false,
        removed: '2024-05-03T11:00:00+02:00',
      },
      summaryOf(sampleJob()),
    ]);
  });

  it('reads no job whose summary is there', async () => {
    const { record } = await open();
    await record.saveJob(fullJob('job-2'));
    const get = vi.spyOn(IDBObjectStore.prototype, 'get');
    const getAll = vi.spyOn(IDBObjectStore.prototype, 'getAll');
    expect((await record.listJobs()).jobs).toHaveLength(2);
    expect(get).not.toHaveBeenCalled();
    expect(getAll.mock.contexts.map((store) => (store as IDBObjectStore).name)).toEqual(['summaries']);
  });

  it('follows every change of a job', async () => {
    const { record } = await open();
    const complaint = async () => (await record.listJobs()).jobs.map((job) => job.complaint);
    await record.saveJob(sampleJob('job-1', { complaint: 'sticks' }));
    expect(await complaint()).toEqual(['sticks']);
    await record.saveJob(sampleJob('job-1', { complaint: 'drags' }));
    expect(await complaint()).toEqual(['drags']);
  });

  it.each<[string, (stored: { version: number; data: unknown }) => object | null]>([
    ['missing', () => null],
    ['of an older version', (stored) => ({ ...stored, version: RECORD_VERSION - 1 })],
    ['of a newer version', (stored) => ({ ...stored, version: RECORD_VERSION + 1 })],
    ['damaged', (stored) => ({ ...stored, data: { ...(stored.data as object), state: 'lost' } })],
    ['of another job', (stored) => ({ ...stored, data: { ...(stored.data as object), id: 'job-2' } })],
  ])('draws a summary that is %s from its job, and keeps it', async (_, spoil) => {
    const { record, database } = await open();
    const sound = (await database.get('summaries', 'job-1'))!;
    const spoilt = spoil(sound);
    if (spoilt === null) await database.delete('summaries', 'job-1');
    else await database.put('summaries', spoilt as typeof sound);
    expect(await record.listJobs()).toEqual({ jobs: [summaryOf(sampleJob())], unreadable: [] });
    expect(await database.get('summaries', 'job-1')).toEqual(sound);
  });

  it('is whole even where no summary can be written', async () => {
    const { record, database } = await open();
    await database.delete('summaries', 'job-1');
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(() => {
      throw new DOMException('', 'QuotaExceededError');
    });
    expect((await record.listJobs()).jobs).toEqual([summaryOf(sampleJob())]);
    vi.restoreAllMocks();
    expect(await database.count('summaries')).toBe(0);
  });

  it('shows no summary without its job', async () => {
    const { record, database } = await open();
    await database.delete('jobs', 'job-1');
    expect(await record.listJobs()).toEqual({ jobs: [], unreadable: [] });
  });

  it('holds each of many jobs once, in order, whatever order they were saved in', async () => {
    const { record } = await open();
    const days = Array.from({ length: 60 }, (_, i) => (i * 37) % 60);
    for (const day of days) {
      const received = new Date(Date.UTC(2025, 0, 1 + day)).toISOString();
      await record.saveJob(sampleJob(`many-${day}`, { number: String(day), received }));
    }
    const { jobs, unreadable } = await record.listJobs();
    expect(unreadable).toEqual([]);
    expect(jobs.map(({ id }) => id)).toEqual([
      ...Array.from({ length: 60 }, (_, i) => `many-${59 - i}`),
      'job-1',
    ]);
  });

  it('is the same in another tab', async () => {
    const name = freshName();
    const { record } = await open(name);
    const other = await openRecord({ name });
    await other.saveJob(sampleJob('job-2', { number: '0002' }));
    expect(await record.listJobs()).toEqual(await other.listJobs());
    expect((await record.listJobs()).jobs).toHaveLength(2);
  });
});

describe('a job', () => {
  it('is erased only after it was taken off the list', async () => {
    const { record, database } = await open();
    const error = await recordError(record.eraseJob('job-1'));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('Take job 0001 off the list first');
    expect(await database.count('jobs')).toBe(1);
    expect((await recordError(record.eraseJob('job-9'))).kind).toBe('missing');
  });
});
