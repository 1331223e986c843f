import 'fake-indexeddb/auto';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { summaryOf } from '../../app/record/job-summary.ts';
import type { Stores } from '../../app/record/layout.ts';
import { RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import { open, recordError } from './record-under-test.ts';
import { sampleFiring, sampleJob } from './sample-records.ts';
import version1 from './version-1.json' with { type: 'json' };

afterEach(() => {
  vi.restoreAllMocks();
});

describe('records of version 1', () => {
  it('are read, changed and written in the present version, samples and all', async () => {
    const { record, database } = await open();
    const job = { ...version1.job, id: 'job-1' };
    const firing = { ...version1.firing, id: 'firing-1', jobId: 'job-1' };
    await database.put('jobs', job as Stores['jobs']['value']);
    await database.put('firings', firing as Stores['firings']['value']);
    await database.put('samples', new Uint8Array(1500), 'firing-1');

    expect((await record.loadJob('job-1')).decisionRule).toBe('simple');
    const { firings, unreadable } = await record.loadFirings('job-1');
    expect(unreadable).toEqual([]);
    expect(firings).toMatchObject([
      { id: 'firing-1', exercised: false, reference: { origin: 'slow firing' } },
    ]);
    await record.setAside('firing-1', 'bumped');
    expect(await database.get('firings', 'firing-1')).toMatchObject({
      version: RECORD_VERSION,
      data: { setAside: 'bumped', measuringVersion: 1 },
    });
    expect(await record.loadSamples('firing-1')).toHaveLength(1500);
  });
});

describe('records that can’t be read', () => {
  it('are reported beside the others, and stay as they are', async () => {
    const { record, database } = await open();
    const newer = {
      ...sealEnvelope('job', sampleJob('newer')),
      id: 'newer',
      version: RECORD_VERSION + 1,
      source: 'leafclock 9.2.0',
    };
    const damaged = { ...sealEnvelope('job', sampleJob('damaged')), id: 'damaged', data: { id: 'damaged' } };
    const misfiled = { ...sealEnvelope('job', sampleJob('other')), id: 'misfiled' };
    const alien = { id: 'alien' } as unknown as Stores['jobs']['value'];
    for (const stored of [newer, damaged, misfiled, alien]) await database.put('jobs', stored);

    const { jobs, unreadable } = await record.listJobs();
    expect(jobs).toEqual([summaryOf(sampleJob())]);
    expect(unreadable.map(({ id, kind, path }) => [id, kind, path])).toEqual([
      ['alien', 'damaged', 'type'],
      ['damaged', 'damaged', 'number'],
      ['misfiled', 'damaged', 'id'],
      ['newer', 'newer record', 'version'],
    ]);
    expect(unreadable[3]!.reason).toContain('leafclock 9.2.0');

    // Neither is overwritten by a job of the same id.
    for (const id of ['newer', 'damaged']) await recordError(record.saveJob(sampleJob(id)));
    expect(await database.get('jobs', 'newer')).toEqual(newer);
    expect(await database.get('jobs', 'damaged')).toEqual(damaged);
  });

  it('hide no other firing', async () => {
    const { record, database } = await open();
    await record.addFiring(sampleFiring());
    await record.addFiring(sampleFiring({ id: 'firing-2', ordinal: 2 }));
    const stored = (await database.get('firings', 'firing-2'))!;
    const data = { ...(stored.data as object), ordinal: 'two' };
    await database.put('firings', { ...stored, data });
    const { firings, unreadable } = await record.loadFirings('job-1');
    expect(firings.map(({ id }) => id)).toEqual(['firing-1']);
    expect(unreadable).toMatchObject([{ id: 'firing-2', kind: 'damaged', path: 'ordinal' }]);
  });

  it('include samples of the wrong number', async () => {
    const { record, database } = await open();
    await record.addFiring(sampleFiring());
    await database.put('samples', new Uint8Array(3), 'firing-1');
    const error = await recordError(record.loadSamples('firing-1'));
    expect(error).toMatchObject({ kind: 'damaged' });
    expect(error.message).toContain('3 samples where 1500');
    await database.delete('samples', 'firing-1');
    expect((await recordError(record.loadSamples('firing-1'))).message).toContain('no samples');
  });
});
