import type { Job, Outcome, StageId, Workshop } from '../../record/job.ts';
import { demonstrationJob, newJob } from '../../record/new-job.ts';
import { view } from '../view.ts';
import { holdJob, type JobHold } from './job-lock.ts';
import { firstTimed } from './marks.ts';
import { say } from './notices.ts';
import { adoptReadings, dropReference } from './readings.ts';
import { record } from './record.ts';
import { forgetSteps, undoable } from './undo.ts';

/** Outcomes that stand in place of a reading, each with its key. */
export const outcomes: readonly { readonly outcome: Outcome; readonly key: string }[] = [
  { outcome: 'did not fire', key: 'D' },
  { outcome: 'stuck open', key: 'O' },
  { outcome: 'not tried', key: 'X' },
];

/** Loads what is kept, and takes up the job that was open last. Says so when nothing can be kept. */
export async function loadJobs(): Promise<void> {
  try {
    const kept = await record();
    const { jobs, unreadable } = await kept.listJobs();
    view.setState({ jobs });
    const workshop = await kept.loadWorkshop();
    if (workshop) view.setState({ workshop });
    for (const { reason } of unreadable) say(`One job can't be shown. ${reason}`, 'trouble');
    const last = await kept.loadOpenJob();
    if (last && jobs.some((job) => job.id === last)) await openJob(last);
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}

/** Makes a job; the practice bench gets an invented one. Resolves once it is kept. */
export async function createJob(invented: boolean): Promise<void> {
  if (!isSecureContext) {
    say('Nothing can be kept at this address. Open the page on localhost or over https.', 'trouble');
    return;
  }
  try {
    const kept = await record();
    const start = {
      id: crypto.randomUUID(),
      number: await kept.nextJobNumber(),
      received: new Date().toISOString(),
    };
    const job = invented ? demonstrationJob(start) : newJob(start);
    await kept.saveJob(job);
    view.setState((v) => ({ jobs: [job, ...v.jobs] }));
    await openJob(job.id);
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}

export async function openJob(id: string): Promise<void> {
  let hold: JobHold | null = null;
  try {
    const kept = await record();
    const job = await kept.loadJob(id);
    hold = await holdJob(id);
    if (!hold) {
      say(`Job ${job.number} is open in another tab. Close it there to open it here.`, 'trouble');
      return;
    }
    const { firings, unreadable } = await kept.loadFirings(id);
    // From here to the view nothing waits: a firing that ends now is of the one job or of the other.
    const readings = adoptReadings(job, firings);
    dropReference('set-up changed');
    forgetSteps();
    const last = readings.at(-1);
    view.setState({
      job,
      stage: last?.stage ?? 'as found',
      mark: last?.mark ?? firstTimed(job),
      readings,
      unreadable: unreadable.length,
      shown: last?.id ?? null,
    });
    hold.keep();
    for (const { reason } of unreadable) say(`One firing can't be shown. ${reason}`, 'trouble');
    await kept.saveOpenJob(id).catch((error: Error) => say(error.message, 'trouble'));
  } catch (error) {
    hold?.giveBack();
    say((error as Error).message, 'trouble');
  }
}

let saving: Promise<void> = Promise.resolve();

/** Changes the open job: shown at once, written in the order of the changes, undoable as one step a field. */
export function changeJob(change: (job: Job) => Job, words: string): void {
  const before = view.getState().job;
  if (!before) return;
  const after = change(before);
  const forget = undoable(words, () => put(before, after));
  put(after, before).catch((error: Error) => {
    forget();
    say(error.message, 'trouble');
  });
}

/**
 * Shows a state of the job and writes it after those before it. Rejects, with the other state and the mark
 * back on show, when it can't be written.
 */
function put(job: Job, instead: Job): Promise<void> {
  const { mark } = view.getState();
  show(job);
  const writing = saving.then(async () => {
    try {
      await (await record()).saveJob(job);
    } catch (error) {
      if (view.getState().job === job) {
        show(instead);
        view.setState({ mark });
      }
      throw error;
    }
  });
  saving = writing.catch(() => {});
  return writing;
}

function show(job: Job): void {
  const { job: shown, stage } = view.getState();
  // Mounted, lit or released otherwise, the shutter gives another open level.
  if (shown?.id === job.id && lightMayDiffer(shown, job, stage)) dropReference('set-up changed');
  view.setState((v) => ({
    job,
    jobs: v.jobs.map((other) => (other.id === job.id ? job : other)),
    mark: job.series.speeds.some((s) => s.label === v.mark) ? v.mark : firstTimed(job),
  }));
}

/** State of assembly or set-up; outcomes change no light, nor do notes, linearity and the temperature. */
const lightMayDiffer = (a: Job, b: Job, stage: StageId): boolean => {
  const stands = ({ assembly, setUp }: Job['stages'][StageId]) =>
    JSON.stringify([
      { ...assembly, temperature: null },
      { ...setUp, note: '', linearity: null },
    ]);
  return stands(a.stages[stage]) !== stands(b.stages[stage]);
};

/** What stands in place of readings for the present mark; null takes it back. */
export async function recordOutcome(outcome: Outcome | null): Promise<void> {
  const { job, mark, stage } = view.getState();
  if (!job || mark === null) return;
  const before = job.stages[stage].outcomes[mark] ?? null;
  const write = async (what: Outcome | null) => {
    await saving;
    show((await (await record()).setOutcome(job.id, stage, mark, what)).current);
  };
  try {
    await write(outcome);
    undoable(outcome === null ? `outcome at ${mark} taken back` : `${mark} ${outcome}`, () => write(before));
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}

export function setMark(mark: string): void {
  view.setState({ mark });
}

/** Another stage means another set-up: the open level of the old one no longer holds. */
export function setStage(stage: StageId): void {
  if (stage === view.getState().stage) return;
  dropReference('set-up changed');
  view.setState({ stage });
}

export async function saveWorkshop(workshop: Workshop): Promise<void> {
  view.setState({ workshop });
  try {
    await (await record()).saveWorkshop(workshop);
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}
