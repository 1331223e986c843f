/** The list of jobs: what is on it, and how jobs come onto it, leave it and come back. */
import { demonstrationJob } from '../../record/demonstration-job.ts';
import type { Job } from '../../record/job.ts';
import { jobDefaults } from '../../record/job-defaults.ts';
import { type JobSummary, summaryOf } from '../../record/job-summary.ts';
import { newJob, returningJob } from '../../record/new-job.ts';
import { view } from '../view.ts';
import { holdJob } from './job-lock.ts';
import { changeJob, changesWritten, closeJob, inTurn, noteInJob, openJob } from './jobs.ts';
import { say } from './notices.ts';
import { loadWorkshop } from './preferences.ts';
import { unwrittenCount } from './readings.ts';
import { isNewerDatabase, record } from './record.ts';
import { undoable } from './undo.ts';

/** Loads what is kept, and takes up the job that was open last. Says so when nothing can be kept. */
export async function loadJobs(): Promise<void> {
  await attempt(async () => {
    const kept = await record();
    for (const { reason } of await renewList()) say(`One job can't be shown. ${reason}`, 'trouble');
    await loadWorkshop();
    const last = await kept.loadOpenJob();
    if (last && summaryFor(last)?.removed === null) await openJob(last);
  });
}

/** Looks at the list again: another tab may have changed it. */
export async function lookAtJobs(): Promise<void> {
  await attempt(renewList);
}

async function renewList() {
  const { jobs, unreadable } = await (await record()).listJobs();
  view.setState({ jobs });
  return unreadable;
}

const summaryFor = (id: string): JobSummary | undefined => view.getState().jobs.find((job) => job.id === id);

/** Makes a job as the workshop usually has them; the practice bench gets an invented one. Resolves once it is kept. */
export async function createJob(invented: boolean): Promise<void> {
  await make((start) =>
    invented ? demonstrationJob(start) : newJob({ ...jobDefaults(view.getState().preferences), ...start }),
  );
}

/** Makes a job for a camera that has been here before. Its former customer is not taken along. */
export async function createReturningJob(earlier: string): Promise<void> {
  await make(async (start) => {
    await changesWritten();
    const before = await (await record()).loadJob(earlier);
    const job = returningJob({ ...jobDefaults(view.getState().preferences), ...start }, before);
    // The camera of the demonstration stays what it is.
    return { ...job, invented: before.invented };
  });
}

type Named = Pick<JobSummary, 'id' | 'number'>;
type Start = Pick<Job, 'id' | 'number' | 'received'>;

async function make(jobFrom: (start: Start) => Job | Promise<Job>): Promise<void> {
  if (!isSecureContext) {
    say('Nothing can be kept at this address. Open the page on localhost or over https.', 'trouble');
    return;
  }
  await attempt(async () => {
    const kept = await record();
    const job = await jobFrom({
      id: crypto.randomUUID(),
      number: await kept.nextJobNumber(),
      received: new Date().toISOString(),
    });
    await kept.saveJob(job);
    putOnList(job);
    await openJob(job.id);
  });
}

/** A new job stands first: it is the one received last. */
function putOnList(job: Job): void {
  const summary = summaryOf(job);
  view.setState(({ jobs }) => ({
    jobs: jobs.some(({ id }) => id === job.id)
      ? jobs.map((other) => (other.id === job.id ? summary : other))
      : [summary, ...jobs],
  }));
}

/** Changes any job, the open one or another. @throws RecordError, or Error with a sentence if another tab has it. */
export async function changeKeptJob(id: string, change: (job: Job) => Job, words: string): Promise<void> {
  await alone(id, async () => {
    if (view.getState().job?.id === id) {
      changeJob(change, words);
      return;
    }
    const kept = await record();
    const job = change(await kept.loadJob(id));
    await kept.saveJob(job);
    putOnList(job);
  });
}

/** Does something to a job that no other tab has open. */
function alone(id: string, act: () => Promise<void>): Promise<void> {
  return inTurn(async () => {
    const hold = await holdJob(id);
    if (!hold) {
      const number = summaryFor(id)?.number ?? '';
      throw new Error(`Job ${number} is open in another tab. Close it there first.`);
    }
    try {
      await act();
    } finally {
      hold.giveBack();
    }
  });
}

/** How to forget the undo steps of jobs that were taken off the list: once erased, they can't come back. */
const removals = new Map<string, () => void>();

/** Takes a job off the list. It stays kept and can be brought back; if it is open, it is closed. */
export async function removeJob({ id, number }: Named): Promise<void> {
  await attempt(async () => {
    if (unwrittenCount(id) > 0)
      throw new Error(
        `Firings of job ${number} are not recorded yet. Record them on the bench before you take it off the list.`,
      );
    const wasOpen = view.getState().job?.id === id;
    await markRemoved(id, new Date().toISOString());
    const back = async () => {
      await markRemoved(id, null);
      if (wasOpen && view.getState().job === null) await openJob(id);
    };
    removals.set(id, undoable(`job ${number} taken off the list`, back));
  });
}

export async function bringBackJob({ id, number }: Named): Promise<void> {
  await attempt(async () => {
    const removed = summaryFor(id)?.removed ?? null;
    await markRemoved(id, null);
    undoable(`job ${number} brought back`, () => markRemoved(id, removed));
  });
}

async function markRemoved(id: string, removed: string | null): Promise<void> {
  const change = (job: Job) => ({ ...job, removed });
  if (view.getState().job?.id === id) {
    await noteInJob(change);
    // Another job may have been opened while this was written.
    if (removed !== null && view.getState().job?.id === id) closeJob();
  } else await changeKeptJob(id, change, '');
}

/** Destroys a job that was taken off the list, with its firings and pictures. That can't be undone: ask before. */
export async function eraseJob({ id, number }: Named): Promise<void> {
  await attempt(async () => {
    await alone(id, async () => (await record()).eraseJob(id));
    removals.get(id)?.();
    view.setState(({ jobs }) => ({ jobs: jobs.filter((job) => job.id !== id) }));
    say(`Job ${number} is erased.`);
  });
}

async function attempt(act: () => Promise<unknown>): Promise<void> {
  try {
    await act();
  } catch (error) {
    if (!isNewerDatabase(error)) say((error as Error).message, 'trouble');
  }
}
