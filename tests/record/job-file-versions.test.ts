import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { importJobFile, readJobFile } from '../../app/record/job-file.ts';
import { base64 } from '../../app/record/job-file-base64.ts';
import { type Envelope, openEnvelope, RECORD_VERSION } from '../../app/record/schema.ts';
import { jobFileError, packed } from './job-file-rig.ts';
import { open } from './record-under-test.ts';

type Fixture = Readonly<Record<string, Envelope>>;
type Data = {
  readonly id: string;
  readonly jobId: string;
  readonly firing: { readonly sampleCount: number };
};

const fixture = (version: number) =>
  JSON.parse(readFileSync(new URL(`version-${version}.json`, import.meta.url), 'utf8')) as Fixture;

/** A file as a Leafclock of that time would have written it: the records of the fixture, untouched. */
function fileOf(records: Fixture): Blob {
  const firings = Object.entries(records).flatMap(([name, record]) =>
    name.startsWith('firing') ? [record] : [],
  );
  const line = (kind: string, record: Envelope, more: object = {}) =>
    JSON.stringify({ kind, record, ...more });
  return packed([
    '{"format":"leafclock jobs","version":1,"source":"leafclock 0.1.0","written":"2024-06-01T12:00:00Z","contents":"everything"}',
    line('job', records.job!, { firings: firings.length, pictures: 0 }),
    ...firings.map((record) => {
      const { sampleCount } = (record.data as Data).firing;
      return line('firing', record, { bytes: base64(new Uint8Array(sampleCount).fill(7)) });
    }),
    line('workshop', records.workshop!),
    JSON.stringify({
      kind: 'end',
      counts: { jobs: 1, firings: firings.length, samples: firings.length, pictures: 0, settings: 1 },
    }),
  ]);
}

const older = Array.from({ length: RECORD_VERSION - 1 }, (_, i) => i + 1);

describe('files of older versions', () => {
  it('there are some', () => expect(older.length).toBeGreaterThanOrEqual(2));

  it.each(older)(
    'version %i comes in through the same door as the database’s own records',
    async (version) => {
      const records = fixture(version);
      expect(records.job!.version).toBe(version);
      const { record } = await open();
      const report = await importJobFile(record, await readJobFile(fileOf(records)), 'replace');
      expect(report.refused).toEqual([]);
      const { id } = records.job!.data as Data;
      expect(await record.loadJob(id)).toEqual(openEnvelope('job', records.job));
      const firing = openEnvelope('firing', records.firing);
      expect((await record.loadFirings(id)).firings).toContainEqual(firing);
      expect(await record.loadSamples(firing.id)).toHaveLength(firing.firing.sampleCount);
      expect(await record.loadWorkshop()).toEqual(openEnvelope('workshop', records.workshop));
      const again = await importJobFile(record, await readJobFile(fileOf(records)), 'replace');
      expect(again.jobs.map(({ outcome }) => outcome)).toEqual(['same']);
    },
  );

  it('a record that its migration can’t make sense of is refused', async () => {
    const records = fixture(1);
    const broken = { ...records, job: { ...records.job!, data: 17 } };
    const { kind, message } = await jobFileError(readJobFile(fileOf(broken as Fixture)));
    expect(kind).toBe('damaged');
    expect(message).toMatch(/^The file is damaged at line 2: /);
  });
});
