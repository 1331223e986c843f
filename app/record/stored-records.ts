/** Envelopes as the database holds them, with their keys outside, and what is asked of each of them. */
import type { FiringRow } from './firing-row.ts';
import type { Job, Picture } from './job.ts';
import { summaryOf } from './job-summary.ts';
import type { StoredFiring, StoredJob, StoredPicture, StoredSummary } from './layout.ts';
import { RecordError, type RecordErrorKind } from './record-error.ts';
import { openEnvelope, sealEnvelope } from './schema.ts';

/** A stored record that can't be shown; it stays where it is, untouched. */
export interface Unreadable {
  readonly id: string;
  readonly kind: RecordErrorKind;
  /** A sentence for the user, with the reason and the place. */
  readonly reason: string;
  readonly path: string | null;
}

/** Before and after a change. `previous` given to restoreFiring or saveJob undoes it. */
export interface Change<Kept> {
  readonly previous: Kept;
  readonly current: Kept;
}

export const sealJob = (job: Job): StoredJob => ({ id: job.id, ...sealEnvelope('job', job) });

export const sealSummary = (job: Job): StoredSummary => ({
  id: job.id,
  number: job.number,
  ...sealEnvelope('job summary', summaryOf(job)),
});

export const sealFiring = (row: FiringRow): StoredFiring => ({
  id: row.id,
  jobId: row.jobId,
  ...sealEnvelope('firing', row),
});

export const sealPicture = (picture: Picture): StoredPicture => ({
  id: picture.id,
  jobId: picture.jobId,
  ...sealEnvelope('picture', picture),
});

export function openJob(stored: StoredJob): Job {
  const job = openEnvelope('job', stored);
  requireKey(job.id, stored.id, 'id');
  return job;
}

export function openFiring(stored: StoredFiring): FiringRow {
  const row = openEnvelope('firing', stored);
  requireKey(row.id, stored.id, 'id');
  requireKey(row.jobId, stored.jobId, 'jobId');
  return row;
}

export function openPicture(stored: StoredPicture): Picture {
  const picture = openEnvelope('picture', stored);
  requireKey(picture.id, stored.id, 'id');
  requireKey(picture.jobId, stored.jobId, 'jobId');
  return picture;
}

function requireKey(inside: string, outside: string, path: string): void {
  if (inside === outside) return;
  const message = `This record is damaged at ${path}: it is kept under “${outside}” but says “${inside}”.`;
  throw new RecordError('damaged', message, { path });
}

export const labels = (job: Job) => job.series.speeds.map(({ label }) => label);

export function requireMark(job: Job, mark: string): void {
  if (labels(job).includes(mark)) return;
  throw new RecordError('refused', `Job ${job.number} has no mark “${mark}”.`, { path: 'mark' });
}

export function found<Value>(value: Value | undefined, what: string, id: string): Value {
  if (value === undefined) throw new RecordError('missing', `There is no ${what} under the id “${id}”.`);
  return value;
}

/** Opens each record by itself, so that one that can't be read hides no other. */
export function readAll<Stored extends { readonly id: string }, Read>(
  stored: readonly Stored[],
  open: (one: Stored) => Read,
): { read: Read[]; unreadable: Unreadable[] } {
  const read: Read[] = [];
  const unreadable: Unreadable[] = [];
  for (const one of stored) {
    try {
      read.push(open(one));
    } catch (error) {
      if (!(error instanceof RecordError)) throw error;
      unreadable.push({ id: one.id, kind: error.kind, reason: error.message, path: error.path });
    }
  }
  return { read, unreadable };
}
