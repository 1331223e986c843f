/** Whole jobs, out of the database for a file and into it from one. */
import type { FiringRow } from './firing-row.ts';
import type { JobBundle } from './job-bundle.ts';
import { requireSamples } from './kept-firings.ts';
import { clearJob, JOB_STORES } from './kept-jobs.ts';
import type { RecordDatabase } from './layout.ts';
import { RecordError } from './record-error.ts';
import { sameContent } from './same-content.ts';
import {
  found,
  openFiring,
  openJob,
  openPicture,
  readAll,
  requireMark,
  sealFiring,
  sealJob,
  sealPicture,
  sealSummary,
  type Unreadable,
} from './stored-records.ts';
import { atOnce, inTransaction, type Transaction } from './transaction.ts';

/** A bundle, and beside it what of the job can't be read and is therefore not in it. */
export interface LoadedBundle extends JobBundle {
  readonly unreadable: readonly Unreadable[];
}

export type Added = 'added' | 'same' | 'kept' | 'replaced';

type BundleWriting = Transaction<[...typeof JOB_STORES], 'readwrite'>;
type BundleReading = Transaction<[...typeof JOB_STORES], 'readonly' | 'readwrite'>;

export function loadBundle(database: RecordDatabase, jobId: string): Promise<LoadedBundle> {
  const doing = 'The job could not be copied.';
  return inTransaction(database, [...JOB_STORES], 'readonly', doing, async (tx) => {
    const { bundle, unreadable, withoutSamples } = await readBundle(tx, jobId, doing);
    return { ...bundle, unreadable: [...unreadable, ...withoutSamples] };
  });
}

interface Reading {
  readonly bundle: JobBundle;
  /** Firings and pictures; their job itself is read or throws. */
  readonly unreadable: readonly Unreadable[];
  /** Firings whose samples are missing, or not as many as they should be. */
  readonly withoutSamples: readonly Unreadable[];
}

async function readBundle(tx: BundleReading, jobId: string, doing: string): Promise<Reading> {
  const [job, rows, pictures] = await Promise.all([
    tx.objectStore('jobs').get(jobId),
    tx.objectStore('firings').index('job').getAll(jobId),
    tx.objectStore('pictures').index('job').getAll(jobId),
  ]);
  const firings = readAll(rows, openFiring);
  const curves = await Promise.all(
    firings.read.map(async (row) => ({
      id: row.id,
      row,
      stored: await tx.objectStore('samples').get(row.id),
    })),
  );
  const samples = readAll(curves, ({ id, row, stored }) => [id, requireSamples(stored, row, doing)] as const);
  const images = readAll(pictures, openPicture);
  return {
    bundle: {
      job: openJob(found(job, 'job', jobId)),
      firings: firings.read.sort((a, b) => a.ordinal - b.ordinal),
      samples: new Map(samples.read),
      pictures: images.read,
    },
    unreadable: [...firings.unreadable, ...images.unreadable],
    withoutSamples: samples.unreadable,
  };
}

export function addBundle(
  database: RecordDatabase,
  bundle: JobBundle,
  differing: 'keep' | 'replace',
): Promise<Added> {
  const doing = `Job ${bundle.job.number} was not taken in.`;
  return inTransaction(database, [...JOB_STORES], 'readwrite', doing, async (tx) => {
    requireWhole(bundle, doing);
    const { id } = bundle.job;
    const there = (await tx.objectStore('jobs').getKey(id)) !== undefined;
    if (there) {
      const { state, newer } = await compare(tx, bundle, doing);
      if (state === 'same') return 'same';
      if (differing === 'keep') return 'kept';
      if (newer) throw newer;
      await clearJob(tx, id);
    }
    await write(tx, bundle);
    return there ? 'replaced' : 'added';
  });
}

/** @throws RecordError 'refused' if a part belongs to another job, or is not what the job or firing says. */
function requireWhole({ job, firings, samples, pictures }: JobBundle, doing: string): void {
  for (const { jobId, id } of [...firings, ...pictures]) {
    if (jobId === job.id) continue;
    throw new RecordError('refused', `${doing} “${id}” belongs to another job.`, { path: 'jobId' });
  }
  for (const row of firings) requireMark(job, row.mark);
  const counts = new Map(firings.map(({ id, firing }) => [id, firing.sampleCount]));
  for (const [id, curve] of samples) {
    const expected = counts.get(id);
    if (expected === curve.length) continue;
    const message =
      expected === undefined
        ? `${doing} There are samples of a firing that it has not.`
        : `${doing} A firing of ${expected} samples comes with ${curve.length}.`;
    throw new RecordError('refused', message, { path: 'samples' });
  }
}

/** What is here is other than the bundle also where it can't be read. `newer`: a part must not be written over. */
async function compare(
  tx: BundleReading,
  bundle: JobBundle,
  doing: string,
): Promise<{ readonly state: 'same' | 'other'; readonly newer: RecordError | null }> {
  try {
    const { bundle: here, unreadable } = await readBundle(tx, bundle.job.id, doing);
    const newer = unreadable.find(({ kind }) => kind === 'newer record');
    const same = unreadable.length === 0 && sameContent(comparable(here), comparable(bundle));
    return {
      state: same ? 'same' : 'other',
      newer: newer ? new RecordError('newer record', `${doing} ${newer.reason}`) : null,
    };
  } catch (error) {
    if (!(error instanceof RecordError)) throw error;
    return { state: 'other', newer: error.kind === 'newer record' ? error : null };
  }
}

/** In one order, and without the empty samples of firings that have none. */
function comparable({ job, firings, samples, pictures }: JobBundle) {
  const byId = (a: { readonly id: string }, b: { readonly id: string }) => (a.id < b.id ? -1 : 1);
  return {
    job,
    firings: firings.toSorted(byId),
    samples: Object.fromEntries([...samples].filter(([, curve]) => curve.length > 0)),
    pictures: pictures.toSorted(byId),
  };
}

/** @throws ConstraintError where a firing or picture of another job has the same id. */
async function write(tx: BundleWriting, { job, firings, samples, pictures }: JobBundle): Promise<void> {
  const nothing = new Uint8Array();
  const curveOf = ({ id, firing }: FiringRow) =>
    samples.get(id) ?? (firing.sampleCount === 0 ? nothing : null);
  await atOnce([
    () => tx.objectStore('jobs').add(sealJob(job)),
    () => tx.objectStore('summaries').put(sealSummary(job)),
    ...firings.map((row) => () => tx.objectStore('firings').add(sealFiring(row))),
    ...firings.map((row) => async () => {
      const curve = curveOf(row);
      if (curve) await tx.objectStore('samples').put(curve.slice(), row.id);
    }),
    ...pictures.map((picture) => () => tx.objectStore('pictures').add(sealPicture(picture))),
  ]);
}
