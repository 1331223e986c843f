import { describe, expect, it } from 'vitest';
import { importJobFile, type RecordOfFiles, readJobFile, writeJobFile } from '../../app/record/job-file.ts';
import { RecordError } from '../../app/record/record-error.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { addRichJob, BOARD, contentOf, firingOf, jobFileError, richRecord } from './job-file-rig.ts';
import { open } from './record-under-test.ts';
import { sampleJob } from './sample-records.ts';

const everything = async (record: RecordOfFiles) =>
  readJobFile((await writeJobFile(record, 'everything')).file);

/** The record with some of its methods replaced. */
const withMethods = (record: RecordOfFiles, methods: Partial<RecordOfFiles>): RecordOfFiles =>
  new Proxy(record, {
    get: (target, key) => {
      const method: unknown = Reflect.get(methods, key) ?? Reflect.get(target, key);
      return typeof method === 'function' ? method.bind(target) : method;
    },
  });

describe('importing a file of jobs', () => {
  it('twice changes nothing, whichever is chosen', async () => {
    const record = await richRecord();
    const before = await contentOf(record);
    const file = await everything(record);
    for (const differing of ['keep', 'replace'] as const) {
      const report = await importJobFile(record, file, differing);
      expect(report.jobs.map(({ outcome }) => outcome)).toEqual(['same', 'same']);
      expect(report).toMatchObject({ workshop: 'same', preferences: 'same', boards: 0, sharedNumbers: [] });
      expect(await contentOf(record)).toEqual(before);
    }
  });

  it('keeps or replaces what differs, as the user chose', async () => {
    const record = await richRecord();
    const file = await everything(record);
    const then = await contentOf(record);
    await record.saveJob({ ...(await record.loadJob('job-1')), complaint: 'changed since' });
    await record.addFiring(firingOf('job-1', 4));
    await record.setAside('job-2-firing-1', 'dial moved');
    await record.saveWorkshop({ name: 'New name', address: '', signatory: '', logo: null });
    const now = await contentOf(record);

    const kept = await importJobFile(record, file, 'keep');
    expect(kept.jobs.map(({ outcome }) => outcome)).toEqual(['kept', 'kept']);
    expect(kept).toMatchObject({ workshop: 'kept', preferences: 'same' });
    expect(await contentOf(record)).toEqual(now);

    const replaced = await importJobFile(record, file, 'replace');
    expect(replaced.jobs.map(({ outcome }) => outcome)).toEqual(['replaced', 'replaced']);
    expect(replaced).toMatchObject({ workshop: 'replaced', preferences: 'same' });
    expect(await contentOf(record)).toEqual(then);
    expect((await record.loadFirings('job-1')).firings).toHaveLength(3);
  });

  it('leaves jobs alone that are not in the file', async () => {
    const file = await readJobFile((await writeJobFile(await richRecord(), ['job-2'])).file);
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { complaint: 'stays' }));
    await importJobFile(record, file, 'replace');
    expect((await record.loadJob('job-1')).complaint).toBe('stays');
    expect((await record.listJobs()).jobs).toHaveLength(2);
  });

  it('names the numbers that two jobs now share', async () => {
    const file = await everything(await richRecord());
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { number: '0900' }));
    await record.saveJob(sampleJob('another', { number: '0002' }));
    const report = await importJobFile(record, file, 'replace');
    expect(report.sharedNumbers).toEqual(['0002']);
    expect((await importJobFile(record, file, 'replace')).sharedNumbers).toEqual([]);
    expect(Number(await record.nextJobNumber())).toBeGreaterThan(2);
  });

  it('keeps of a board the later entry', async () => {
    const file = await everything(await richRecord());
    const { record } = await open();
    const later = { ...BOARD, lastSeen: '2030-01-01T00:00:00Z', firmware: '1.1' };
    await record.noteBoard(later);
    expect((await importJobFile(record, file, 'replace')).boards).toBe(0);
    expect((await record.loadBoards()).boards).toEqual([later]);

    const { record: older } = await open();
    await older.noteBoard({ ...later, lastSeen: '2020-01-01T00:00:00Z' });
    await older.noteBoard({ ...BOARD, serial: '', board: 'another model' });
    expect((await importJobFile(older, file, 'keep')).boards).toBe(1);
    expect((await older.loadBoards()).boards).toHaveLength(2);
    expect((await older.loadBoards()).boards).toContainEqual(BOARD);
  });

  it('leaves whole jobs only when it is broken off, and is taken up by importing again', async () => {
    const source = await richRecord();
    for (let i = 3; i <= 9; i++) await addRichJob(source, `job-${i}`, `000${i}`);
    const file = await everything(source);
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { number: '0001' }));
    const stop = new AbortController();
    const report = await importJobFile(
      record,
      file,
      'keep',
      (part) => {
        if (part > 0.4) stop.abort();
      },
      stop.signal,
    );
    expect(report.cancelled).toBe(true);
    expect(report.jobs).toHaveLength(4);
    expect(report.workshop).toBeNull();
    expect(await record.loadWorkshop()).toBeNull();
    for (const { job, outcome } of report.jobs) {
      if (outcome === 'kept') continue;
      expect(await record.loadBundle(job.id)).toEqual(await source.loadBundle(job.id));
    }
    const again = await importJobFile(record, file, 'replace');
    expect(again.cancelled).toBe(false);
    expect(await contentOf(record)).toEqual(await contentOf(source));
  });

  it('says how far it came when the disk is full, with every job whole', async () => {
    const source = await richRecord();
    await addRichJob(source, 'job-3', '0003');
    const file = await everything(source);
    const { record } = await open();
    let room = 1;
    const full = withMethods(record, {
      addBundle: async (bundle, differing) => {
        if (room-- === 0) throw new RecordError('full', 'Job was not taken in. The disk is full.');
        return record.addBundle(bundle, differing);
      },
    });
    const { kind, message } = await jobFileError(importJobFile(full, file, 'replace'));
    expect(kind).toBe('failed');
    expect(message).toBe(
      '1 of 3 jobs was imported, each of them whole; the rest was not begun. Job was not taken in. ' +
        'The disk is full. Importing the same file again goes on from there.',
    );
    room = 0;
    expect((await jobFileError(importJobFile(full, file, 'replace'))).message).toMatch(
      /^No job was imported\. /,
    );
    await importJobFile(record, file, 'replace');
    expect(await contentOf(record)).toEqual(await contentOf(source));
  });

  it('goes on past a job that the record won’t take, and says which', async () => {
    const source = await richRecord();
    const file = await everything(source);
    const { record, database } = await open();
    await addRichJob(record);
    const job = (await database.get('jobs', 'job-1'))!;
    await database.put('jobs', { ...job, version: 99 });
    const report = await importJobFile(record, file, 'replace');
    expect(report.refused.map(({ job: { id } }) => id)).toEqual(['job-1']);
    expect(report.refused[0]!.reason).toContain('version 99');
    expect(report.jobs.map(({ job: { id } }) => id)).toEqual(['job-2']);
    expect((await database.get('jobs', 'job-1'))!.version).toBe(99);
  });

  it('repairs settings that are damaged here, if they may be replaced', async () => {
    const source = await richRecord();
    const file = await everything(source);
    for (const store of ['workshop', 'preferences'] as const) {
      const { record, database } = await open();
      await importJobFile(record, file, 'replace');
      const stored = (await database.get('settings', store))!;
      await database.put('settings', { ...stored, data: { name: 7 } }, store);

      const kept = await importJobFile(record, file, 'keep');
      expect(kept).toMatchObject({ [store]: 'kept', boards: 0 });
      expect(kept.refusedSettings).toEqual([expect.stringContaining('is damaged')]);
      expect(kept.jobs.map(({ outcome }) => outcome)).toEqual(['same', 'same']);
      expect((await database.get('settings', store))!.data).toEqual({ name: 7 });

      const replaced = await importJobFile(record, file, 'replace');
      expect(replaced).toMatchObject({ [store]: 'replaced', refusedSettings: [] });
      expect(await contentOf(record)).toEqual(await contentOf(source));
    }
  });

  it('leaves settings and boards of a newer program alone, says so, and takes in the rest', async () => {
    const file = await everything(await richRecord());
    const { record, database } = await open();
    await importJobFile(record, file, 'replace');
    const settings = (await database.get('settings', 'workshop'))!;
    await database.put('settings', { ...settings, version: 99 }, 'workshop');
    const [key] = await database.getAllKeys('boards');
    await database.put('boards', { ...(await database.get('boards', key!))!, version: 98 }, key!);
    await record.saveJob({ ...(await record.loadJob('job-2')), complaint: 'changed since' });
    const report = await importJobFile(record, file, 'replace');
    expect(report.jobs.map(({ outcome }) => outcome)).toEqual(['replaced', 'same']);
    expect(report).toMatchObject({ workshop: 'kept', preferences: 'same', boards: 0 });
    expect(report.refusedSettings).toEqual([
      expect.stringContaining('version 99'),
      expect.stringContaining('version 98'),
    ]);
    expect((await database.get('settings', 'workshop'))!.version).toBe(99);
  });

  it('keeps the date of the last back-up, which differs from any file’s by itself', async () => {
    const record = await richRecord();
    const file = await everything(record);
    const preferences = (await record.loadPreferences())!;
    const dated = { ...preferences, backUp: { ...preferences.backUp, last: '2031-04-02T09:00:00.000Z' } };
    await record.savePreferences(dated);
    expect((await importJobFile(record, file, 'keep')).preferences).toBe('same');
    await record.savePreferences({ ...dated, backUp: { ...dated.backUp, everyDays: 3 } });
    expect((await importJobFile(record, file, 'replace')).preferences).toBe('replaced');
    expect(await record.loadPreferences()).toEqual(dated);
  });

  it('writes nothing of a file that turns out damaged when it is read again', async () => {
    const file = await everything(await richRecord());
    const bytes = new Uint8Array(await file.blob.arrayBuffer());
    bytes[60]! ^= 0xff;
    const { record } = await open();
    const before = await contentOf(record);
    const { message } = await jobFileError(
      importJobFile(record, { ...file, blob: new Blob([bytes]) }, 'replace'),
    );
    expect(message).toMatch(/^No job was imported\. The file is damaged/);
    expect(await contentOf(record)).toEqual(before);
  });

  it('takes files of a hundred jobs in one by one', async () => {
    const { record: source } = await open();
    for (let i = 1; i <= 100; i++) {
      await source.saveJob(
        sampleJob(`job-${i}`, { number: String(i).padStart(4, '0'), flashDuration: seconds(i * 1e-4) }),
      );
      await source.addFiring(firingOf(`job-${i}`, 1));
    }
    const file = await everything(source);
    const { record } = await open();
    const parts: number[] = [];
    await importJobFile(record, file, 'replace', (part) => parts.push(part));
    expect(parts).toHaveLength(100);
    expect(parts.at(-1)).toBe(1);
    expect(await contentOf(record)).toEqual(await contentOf(source));
  });
});
