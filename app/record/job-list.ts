/**
 * The list of jobs is read from their summaries: a thousand of them are quick to read, a thousand jobs are not.
 * A summary is written in one transaction with its job. Where there is none of this version (records from
 * before there were summaries, or of an older version), the job is read and its summary written.
 */
import type { JobSummary } from './job-summary.ts';
import { summaryOf } from './job-summary.ts';
import type { RecordDatabase, StoredJob, StoredSummary } from './layout.ts';
import { RecordError } from './record-error.ts';
import { openEnvelope, RECORD_VERSION } from './schema.ts';
import { openJob, readAll, sealSummary, type Unreadable } from './stored-records.ts';
import { atOnce, inTransaction } from './transaction.ts';

export interface JobList {
  /** The job received last first; those taken off the list are among them. */
  readonly jobs: readonly JobSummary[];
  readonly unreadable: readonly Unreadable[];
}

export async function listJobs(database: RecordDatabase): Promise<JobList> {
  const doing = 'The jobs could not be listed.';
  const names = ['jobs', 'summaries'] as const;
  const { known, others } = await inTransaction(database, [...names], 'readonly', doing, async (tx) => {
    const [stored, keys] = await Promise.all([
      tx.objectStore('summaries').getAll(),
      tx.objectStore('jobs').getAllKeys(),
    ]);
    const summaries = new Map(stored.flatMap(openSummary).map((summary) => [summary.id, summary]));
    const missing = keys.filter((key) => !summaries.has(key));
    const jobs = tx.objectStore('jobs');
    return {
      known: keys.flatMap((key) => summaries.get(key) ?? []),
      others: (await Promise.all(missing.map((key) => jobs.get(key)))).filter((job) => job !== undefined),
    };
  });
  const { read, unreadable } = readAll(others, openJob);
  await noteSummaries(
    database,
    read.map(({ id }) => id),
  );
  const jobs = [...known, ...read.map(summaryOf)];
  const received = (job: JobSummary) => Date.parse(job.received);
  jobs.sort((a, b) => received(b) - received(a) || (a.number < b.number ? 1 : -1));
  return { jobs, unreadable };
}

/** Empty where the summary must be drawn from the job again. */
function openSummary(stored: StoredSummary): readonly JobSummary[] {
  if (stored.version !== RECORD_VERSION) return [];
  try {
    const summary = openEnvelope('job summary', stored);
    return summary.id === stored.id ? [summary] : [];
  } catch (error) {
    if (error instanceof RecordError) return [];
    throw error;
  }
}

/**
 * For the next time. Reads each job again, since another tab may have changed it meanwhile. The list is whole
 * without it: a full disk is no reason to show none.
 */
async function noteSummaries(database: RecordDatabase, ids: readonly string[]): Promise<void> {
  if (ids.length === 0) return;
  const names = ['jobs', 'summaries'] as const;
  await inTransaction(database, [...names], 'readwrite', '', async (tx) => {
    const stored = await Promise.all(ids.map((id) => tx.objectStore('jobs').get(id)));
    const there = stored.filter((job): job is StoredJob => job !== undefined);
    const sealed = readAll(there, openJob).read.map(sealSummary);
    await atOnce(sealed.map((summary) => () => tx.objectStore('summaries').put(summary)));
  }).catch((error: unknown) => {
    if (!(error instanceof RecordError)) throw error;
  });
}
