/** Jobs in the database, each with its summary beside it. */
import type { Job } from './job.ts';
import type { RecordDatabase } from './layout.ts';
import { RecordError } from './record-error.ts';
import { found, labels, openFiring, openJob, readAll, sealJob, sealSummary } from './stored-records.ts';
import { atOnce, inTransaction, type Transaction } from './transaction.ts';

export function saveJob(database: RecordDatabase, job: Job): Promise<Job | null> {
  const doing = 'The job was not saved.';
  const names = ['jobs', 'summaries', 'firings'] as const;
  return inTransaction(database, [...names], 'readwrite', doing, async (tx) => {
    const sealed = sealJob(job);
    const store = tx.objectStore('jobs');
    const stored = await store.get(job.id);
    const previous = stored === undefined ? null : openJob(stored);
    const dropped = previous === null ? [] : labels(previous).filter((label) => !labels(job).includes(label));
    if (dropped.length > 0) {
      const firings = await tx.objectStore('firings').index('job').getAll(job.id);
      const used = readAll(firings, openFiring).read.find(({ mark }) => dropped.includes(mark));
      if (used !== undefined) {
        throw new RecordError('refused', `${doing} There are firings under ${used.mark}; keep that mark.`);
      }
    }
    const summary = sealSummary(job);
    await atOnce([() => store.put(sealed), () => tx.objectStore('summaries').put(summary)]);
    return previous;
  });
}

export function loadJob(database: RecordDatabase, id: string): Promise<Job> {
  const doing = 'The job could not be read.';
  return inTransaction(database, ['jobs'], 'readonly', doing, async (tx) =>
    openJob(found(await tx.objectStore('jobs').get(id), 'job', id)),
  );
}

/** All stores that hold something of a job. */
export const JOB_STORES = ['jobs', 'summaries', 'firings', 'samples', 'pictures'] as const;

export function eraseJob(database: RecordDatabase, id: string): Promise<void> {
  const doing = 'The job was not erased.';
  return inTransaction(database, [...JOB_STORES], 'readwrite', doing, async (tx) => {
    const job = openJob(found(await tx.objectStore('jobs').get(id), 'job', id));
    if (job.removed === null) {
      throw new RecordError('refused', `${doing} Take job ${job.number} off the list first.`);
    }
    await clearJob(tx, id);
  });
}

/** Whatever there is under the job, readable or not. */
export async function clearJob(
  tx: Transaction<[...typeof JOB_STORES], 'readwrite'>,
  id: string,
): Promise<void> {
  const firings = await tx.objectStore('firings').index('job').getAllKeys(id);
  const pictures = await tx.objectStore('pictures').index('job').getAllKeys(id);
  await atOnce([
    ...firings.map((key) => () => tx.objectStore('firings').delete(key)),
    ...firings.map((key) => () => tx.objectStore('samples').delete(key)),
    ...pictures.map((key) => () => tx.objectStore('pictures').delete(key)),
    () => tx.objectStore('summaries').delete(id),
    () => tx.objectStore('jobs').delete(id),
  ]);
}

/**
 * The next number that no job has: a file may have brought jobs whose numbers are ahead of the count, and a user
 * may have written one by hand.
 */
export function nextJobNumber(database: RecordDatabase): Promise<string> {
  const doing = 'No job number could be given out.';
  const names = ['counters', 'summaries'] as const;
  return inTransaction(database, [...names], 'readwrite', doing, async (tx) => {
    const store = tx.objectStore('counters');
    const taken = tx.objectStore('summaries').index('number');
    const last = (await store.get('job')) ?? 0;
    if (!Number.isSafeInteger(last)) throw new RecordError('damaged', `${doing} The last one is “${last}”.`);
    let next = last + 1;
    while ((await taken.getKey(asNumber(next))) !== undefined) next++;
    await store.put(next, 'job');
    return asNumber(next);
  });
}

const asNumber = (count: number) => String(count).padStart(4, '0');
