/** Firings in the database: a row each, and its samples beside it. */
import { type FiringRow, splitFiring } from './firing-row.ts';
import type { FiringRecord, Job } from './job.ts';
import type { RecordDatabase } from './layout.ts';
import { RecordError } from './record-error.ts';
import {
  type Change,
  found,
  openFiring,
  openJob,
  readAll,
  requireMark,
  sealFiring,
  type Unreadable,
} from './stored-records.ts';
import { inTransaction } from './transaction.ts';

export function addFiring(database: RecordDatabase, record: FiringRecord): Promise<FiringRow> {
  const doing = 'The firing was not recorded; it is kept on this page until it is closed.';
  const names = ['jobs', 'firings', 'samples'] as const;
  return inTransaction(database, [...names], 'readwrite', doing, async (tx) => {
    const { row, samples } = splitFiring(record);
    const sealed = sealFiring(row);
    requireMark(openJob(found(await tx.objectStore('jobs').get(row.jobId), 'job', row.jobId)), row.mark);
    await tx.objectStore('firings').add(sealed);
    await tx.objectStore('samples').add(samples, row.id);
    return row;
  });
}

export async function loadFirings(
  database: RecordDatabase,
  jobId: string,
): Promise<{ firings: readonly FiringRow[]; unreadable: readonly Unreadable[] }> {
  const doing = 'The firings could not be read.';
  const stored = await inTransaction(database, ['firings'], 'readonly', doing, (tx) =>
    tx.objectStore('firings').index('job').getAll(jobId),
  );
  const { read, unreadable } = readAll(stored, openFiring);
  read.sort((a, b) => a.ordinal - b.ordinal);
  return { firings: read, unreadable };
}

export function loadSamples(database: RecordDatabase, firingId: string): Promise<Uint8Array> {
  const doing = 'The light curve could not be read.';
  const names = ['firings', 'samples'] as const;
  return inTransaction(database, [...names], 'readonly', doing, async (tx) => {
    const row = openFiring(found(await tx.objectStore('firings').get(firingId), 'firing', firingId));
    return requireSamples(await tx.objectStore('samples').get(firingId), row, doing);
  });
}

/** @throws RecordError 'damaged' if they are none, or not as many as the firing was stored with. */
export function requireSamples(samples: unknown, row: FiringRow, doing: string): Uint8Array {
  const expected = row.firing.sampleCount;
  if (samples instanceof Uint8Array && samples.length === expected) return samples;
  const there = samples instanceof Uint8Array ? `${samples.length} samples` : 'no samples';
  throw new RecordError('damaged', `${doing} There are ${there} where ${expected} were stored.`);
}

/** Reads a firing, changes it and writes it, in one transaction. */
export function changeFiring(
  database: RecordDatabase,
  id: string,
  doing: string,
  change: (row: FiringRow, job: Job) => FiringRow,
): Promise<Change<FiringRow>> {
  const names = ['jobs', 'firings'] as const;
  return inTransaction(database, [...names], 'readwrite', doing, async (tx) => {
    const store = tx.objectStore('firings');
    const previous = openFiring(found(await store.get(id), 'firing', id));
    const job = openJob(found(await tx.objectStore('jobs').get(previous.jobId), 'job', previous.jobId));
    const current = change(previous, job);
    await store.put(sealFiring(current));
    return { previous, current };
  });
}
