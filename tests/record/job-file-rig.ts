/** Jobs to put into files, and files with their lines in hand. All of it is invented. */
import { gunzipSync, gzipSync } from 'node:zlib';
import type { LocalRecord } from '../../app/record/database.ts';
import { DEFAULT_PREFERENCES } from '../../app/record/default-preferences.ts';
import type { FiringRecord, Picture } from '../../app/record/job.ts';
import { JobFileError } from '../../app/record/job-file-error.ts';
import { type JobFilePart, jobFileParts } from '../../app/record/job-file-parts.ts';
import type { KnownBoard } from '../../app/record/preferences.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { open } from './record-under-test.ts';
import { bareFiring, sampleChecks, sampleFiring, sampleJob } from './sample-records.ts';

const PICTURE: Picture = {
  id: 'picture-1',
  jobId: 'job-1',
  type: 'image/jpeg',
  width: 640,
  height: 480,
  bytes: Uint8Array.from({ length: 301 }, (_, i) => (i * 91) % 256),
};

export const BOARD: KnownBoard = {
  serial: '7',
  board: 'practice board',
  firmware: '1.0',
  image: '0badcafe',
  lastSeen: '2024-05-02T10:00:00+02:00',
  clock: { at: '2024-05-02T09:00:00+02:00', correction: { ppm: -12, uncertainty: 1, observedSeconds: 60 } },
  lightCheck: null,
  referenceLight: { at: '2024-05-02T09:10:00+02:00', passed: true },
};

/** `length` samples, so that a file can be kept small. */
export const firingOf = (jobId: string, ordinal: number, length = 40): FiringRecord => {
  const firing = sampleFiring({ id: `${jobId}-firing-${ordinal}`, jobId, ordinal });
  const samples = Uint8Array.from({ length }, (_, i) => (i * 37 + ordinal) % 256);
  return { ...firing, firing: { ...firing.firing, samples } };
};

/** Puts a job with three firings (one from a board that times edges) and a picture into a record. */
export async function addRichJob(record: LocalRecord, id = 'job-1', number = '0001'): Promise<void> {
  await record.saveJob(
    sampleJob(id, {
      number,
      checks: sampleChecks,
      customer: { name: 'Ωmega „Linse“ \u{1F4F7}\nsecond line', contact: '' },
      spreadLimit: stops(0.15),
    }),
  );
  await record.addFiring(firingOf(id, 1));
  await record.addFiring(firingOf(id, 2));
  await record.addFiring(bareFiring({ id: `${id}-firing-3`, jobId: id, ordinal: 3 }));
  await record.savePicture({ ...PICTURE, id: `${id}-picture`, jobId: id });
}

/** A record with two jobs, workshop, preferences and a board. */
export async function richRecord(): Promise<LocalRecord> {
  const { record } = await open();
  await addRichJob(record, 'job-1', '0001');
  await addRichJob(record, 'job-2', '0002');
  await record.saveWorkshop({
    name: 'Musterwerkstatt Blendenstern',
    address: 'Erfundene Gasse 7',
    signatory: '',
    logo: { type: 'image/png', width: 20, height: 10, bytes: Uint8Array.of(1, 2, 3, 250) },
  });
  await record.savePreferences(DEFAULT_PREFERENCES);
  await record.noteBoard(BOARD);
  return record;
}

/** Everything of a record that a file carries. */
export async function contentOf(record: LocalRecord): Promise<unknown> {
  const { jobs } = await record.listJobs();
  const bundles = await Promise.all(jobs.map(({ id }) => record.loadBundle(id)));
  return {
    bundles: bundles.sort((a, b) => (a.job.id < b.job.id ? -1 : 1)),
    workshop: await record.loadWorkshop(),
    preferences: await record.loadPreferences(),
    boards: await record.loadBoards(),
  };
}

export const packed = (lines: readonly string[]): Blob =>
  packedText(lines.map((line) => `${line}\n`).join(''));

export const packedText = (text: string | Uint8Array): Blob => new Blob([new Uint8Array(gzipSync(text))]);

export async function linesOf(file: Blob): Promise<string[]> {
  const text = gunzipSync(new Uint8Array(await file.arrayBuffer())).toString('utf8');
  return text.split('\n').slice(0, -1);
}

/** Every part of a file, as one text to compare. @throws JobFileError */
export async function partsText(file: Blob): Promise<string> {
  const parts: JobFilePart[] = [];
  for await (const part of jobFileParts(file, () => {})) parts.push(part);
  return JSON.stringify(parts, (_, value: unknown) => (value instanceof Map ? [...value] : value));
}

export async function jobFileError(promise: Promise<unknown>): Promise<JobFileError> {
  const outcome = await promise.then(
    () => new Error('Nothing was thrown.'),
    (error: unknown) => error,
  );
  if (outcome instanceof JobFileError) return outcome;
  throw outcome;
}
