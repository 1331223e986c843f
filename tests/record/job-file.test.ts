import { describe, expect, it } from 'vitest';
import { importJobFile, readJobFile, writeJobFile } from '../../app/record/job-file.ts';
import { RECORD_SOURCE, RECORD_VERSION } from '../../app/record/schema.ts';
import { addRichJob, contentOf, firingOf, linesOf, packed, richRecord } from './job-file-rig.ts';
import { open } from './record-under-test.ts';
import { sampleJob } from './sample-records.ts';

describe('file of jobs', () => {
  it('takes everything to another computer', async () => {
    const record = await richRecord();
    const { file, counts, leftOut } = await writeJobFile(record, 'everything');
    expect(leftOut).toEqual([]);
    expect(counts).toEqual({ jobs: 2, firings: 6, samples: 6, pictures: 2, settings: 3 });
    expect(file.type).toBe('application/gzip');

    const read = await readJobFile(file);
    expect(read).toMatchObject({ contents: 'everything', source: RECORD_SOURCE, counts });
    expect(read.jobs.map(({ number }) => number).sort()).toEqual(['0001', '0002']);

    const { record: other } = await open();
    const report = await importJobFile(other, read, 'replace');
    expect(report.workshop).toBe('added');
    expect(report.preferences).toBe('added');
    expect(report.boards).toBe(1);
    expect(report.refused).toEqual([]);
    expect(await contentOf(other)).toEqual(await contentOf(record));
  });

  it('holds the jobs asked for and nothing of the workshop', async () => {
    const record = await richRecord();
    const { file, counts } = await writeJobFile(record, ['job-2']);
    expect(counts).toEqual({ jobs: 1, firings: 3, samples: 3, pictures: 1, settings: 0 });
    const text = (await linesOf(file)).join('\n');
    expect(text).not.toContain('Blendenstern');
    expect(text).not.toContain('job-1');
    expect((await readJobFile(file)).contents).toBe('jobs');
  });

  it('holds a job without a firing, jobs taken off the list, and no job at all', async () => {
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { removed: '2024-05-03T09:00:00+02:00' }));
    expect((await readJobFile((await writeJobFile(record, 'everything')).file)).jobs).toMatchObject([
      { id: 'job-1', removed: '2024-05-03T09:00:00+02:00' },
    ]);
    const none = await readJobFile((await writeJobFile(record, [])).file);
    expect(none.counts).toEqual({ jobs: 0, firings: 0, samples: 0, pictures: 0, settings: 0 });
    const report = await importJobFile(record, none, 'replace');
    expect(report.jobs).toEqual([]);
  });

  it('says where each record comes from and in which version it is', async () => {
    const { file } = await writeJobFile(await richRecord(), 'everything');
    const lines = (await linesOf(file)).map((line) => JSON.parse(line));
    expect(lines[0]).toMatchObject({ format: 'leafclock jobs', version: 1, contents: 'everything' });
    expect(lines.slice(1, -1).every(({ record }) => record.version === RECORD_VERSION)).toBe(true);
    expect(lines.slice(1, -1).every(({ record }) => record.source === RECORD_SOURCE)).toBe(true);
    expect(lines.at(-1)).toEqual({
      kind: 'end',
      counts: { jobs: 2, firings: 6, samples: 6, pictures: 2, settings: 3 },
    });
  });

  it('leaves out what can’t be read here, says so, and is whole nevertheless', async () => {
    const { record, database } = await open();
    await addRichJob(record);
    await addRichJob(record, 'job-2', '0002');
    const firing = (await database.get('firings', 'job-1-firing-2'))!;
    await database.put('firings', { ...firing, data: { ...(firing.data as object), ordinal: 'two' } });
    await database.delete('samples', 'job-1-firing-1');
    const job = (await database.get('jobs', 'job-2'))!;
    await database.put('jobs', { ...job, version: 99 });

    const { file, counts, leftOut } = await writeJobFile(record, ['job-1', 'job-2', 'job-3']);
    expect(counts).toMatchObject({ jobs: 1, firings: 2, samples: 1 });
    expect(leftOut).toHaveLength(4);
    expect(leftOut[0]).toMatch(/^Job 0001: .*ordinal/);
    expect(leftOut.join(' ')).toContain('version 99');
    expect(leftOut.join(' ')).toContain('job-3');
    expect((await readJobFile(file)).counts).toEqual(counts);
  });

  it('tells how far it is, and stops when the user gives up', async () => {
    const record = await richRecord();
    const parts: number[] = [];
    const { file } = await writeJobFile(record, 'everything', (part) => parts.push(part));
    expect(parts).toEqual([0.5, 1]);
    const read: number[] = [];
    await readJobFile(file, (part) => read.push(part));
    expect(read.at(-1)).toBe(1);
    expect(read).toEqual(read.toSorted((a, b) => a - b));

    const given = AbortSignal.abort();
    await expect(writeJobFile(record, 'everything', () => {}, given)).rejects.toMatchObject({
      kind: 'cancelled',
    });
    await expect(readJobFile(file, () => {}, given)).rejects.toMatchObject({ kind: 'cancelled' });
  });

  it('passes on what the record throws while a file is written', async () => {
    const { record } = await open();
    record.close();
    await expect(writeJobFile(record, ['job-1'])).rejects.toMatchObject({
      name: 'RecordError',
      kind: 'closed',
    });
  });

  it('carries a firing of a hundred thousand samples', async () => {
    const { record } = await open();
    await record.addFiring(firingOf('job-1', 1, 100_003));
    const { file } = await writeJobFile(record, ['job-1']);
    const { record: other } = await open();
    await importJobFile(other, await readJobFile(file), 'replace');
    expect(await other.loadSamples('job-1-firing-1')).toEqual(await record.loadSamples('job-1-firing-1'));
  });

  it('reads a file whose lines were packed by another program', async () => {
    const { file } = await writeJobFile(await richRecord(), 'everything');
    expect((await readJobFile(packed(await linesOf(file)))).counts.jobs).toBe(2);
  });
});
