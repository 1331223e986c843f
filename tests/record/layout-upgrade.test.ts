import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { openRecord } from '../../app/record/database.ts';
import { LAYOUT_STEPS, openLayout, type RecordDatabase, type Stores } from '../../app/record/layout.ts';
import { openEnvelope, RECORD_VERSION } from '../../app/record/schema.ts';
import { freshName, silent } from './record-under-test.ts';
import { samplePicture } from './sample-job-parts.ts';
import version1 from './version-1.json' with { type: 'json' };
import version2 from './version-2.json' with { type: 'json' };

const jobs = [version1.job, version2.job, version2['job without checks']];
const firings = [
  version1.firing,
  version1['firing without figures'],
  version2.firing,
  version2['firing without figures'],
];
const samples = new Map(
  firings.map(({ data }, index) => [
    data.id,
    Uint8Array.from({ length: data.firing.sampleCount }, (_, i) => (i * 7 + index) % 256),
  ]),
);

/** A database as the first layout left it: records of both versions that were written in it. */
async function firstLayout(name: string): Promise<void> {
  const database: RecordDatabase = await openLayout(name, silent, LAYOUT_STEPS.slice(0, 1));
  expect([...database.objectStoreNames]).toEqual(['counters', 'firings', 'jobs', 'samples', 'settings']);
  for (const sealed of jobs)
    await database.put('jobs', { id: sealed.data.id, ...sealed } as Stores['jobs']['value']);
  for (const sealed of firings) {
    const { id, jobId } = sealed.data;
    await database.put('firings', { id, jobId, ...sealed } as Stores['firings']['value']);
    await database.put('samples', samples.get(id)!, id);
  }
  await database.put('settings', version2.workshop as Stores['settings']['value'], 'workshop');
  await database.put('settings', version2['open job'] as Stores['settings']['value'], 'open job');
  await database.put('counters', 3, 'job');
  database.close();
}

describe('a database of the first layout', () => {
  it('is opened with everything in it, whatever the version of its records', async () => {
    const name = freshName();
    await firstLayout(name);
    const record = await openRecord({ name });

    const { jobs: listed, unreadable } = await record.listJobs();
    expect(unreadable).toEqual([]);
    expect(listed.map(({ id, state, since }) => [id, state, since])).toEqual([
      ['job-3', 'received', version2['job without checks'].data.received],
      ['job-2', 'on the bench', version2.job.data.checks[0]!.at],
      ['job-1', 'received', version1.job.data.received],
    ]);
    for (const sealed of jobs)
      expect(await record.loadJob(sealed.data.id)).toEqual(openEnvelope('job', sealed));

    for (const sealed of jobs) {
      const { firings: rows, unreadable: lost } = await record.loadFirings(sealed.data.id);
      expect(lost).toEqual([]);
      const own = firings.filter(({ data }) => data.jobId === sealed.data.id);
      expect(rows).toEqual(own.map((firing) => openEnvelope('firing', firing)));
    }
    for (const [id, curve] of samples) expect(await record.loadSamples(id)).toEqual(curve);
    expect(await record.loadWorkshop()).toEqual({ ...version2.workshop.data, logo: null });
    expect(await record.loadOpenJob()).toBe('job-2');
    expect(await record.nextJobNumber()).toBe('0004');
    expect(await record.loadPreferences()).toBeNull();
    expect(await record.loadBoards()).toEqual({ boards: [], unreadable: [] });
    record.close();
  });

  it('leaves its records as they were written until they are changed', async () => {
    const name = freshName();
    await firstLayout(name);
    const database = await openLayout(name, silent);
    expect(database.version).toBe(LAYOUT_STEPS.length);
    for (const sealed of jobs)
      expect(await database.get('jobs', sealed.data.id)).toEqual({ id: sealed.data.id, ...sealed });
    database.close();

    const record = await openRecord({ name });
    await record.listJobs();
    const job = await record.loadJob('job-1');
    await record.saveJob({ ...job, complaint: 'sticks' });
    await record.savePicture(samplePicture());
    record.close();

    const after = await openLayout(name, silent);
    expect(await after.get('jobs', 'job-1')).toMatchObject({
      version: RECORD_VERSION,
      data: { complaint: 'sticks' },
    });
    expect(await after.get('jobs', 'job-2')).toEqual({ id: 'job-2', ...version2.job });
    expect(await after.count('summaries')).toBe(3);
    expect(await after.count('pictures')).toBe(1);
  });
});
