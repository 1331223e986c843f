/** The open job: how it comes to be open, how it is changed, and where the dial stands. */
import type { Job, JobState, Outcome, StageId } from '../../record/job.ts';
import { summaryOf } from '../../record/job-summary.ts';
import { view } from '../view.ts';
import { dropReference } from './held-reference.ts';
import { holdJob, type JobHold, letGoOfJob } from './job-lock.ts';
import { firstTimed } from './marks.ts';
import { say } from './notices.ts';
import { adoptReadings } from './readings.ts';
import { record } from './record.ts';
import { forgetSteps, undoable, withoutChange } from './undo.ts';

/** Outcomes that stand in place of a reading, each with its key. */
export const outcomes: readonly { readonly outcome: Outcome; readonly key: string }[] = [
  { outcome: 'did not fire', key: 'D' },
  { outcome: 'stuck open', key: 'O' },
  { outcome: 'not tried', key: 'X' },
];

let saving: Promise<void> = Promise.resolve();

/** How many pictures are on their way to a job, which have no note yet. */
const picturesAwaited = new Map<string, number>();

/** A picture is on its way to a job. Returns how to say that it has arrived, or won't. */
export function awaitPicture(jobId: string): () => void {
  picturesAwaited.set(jobId, (picturesAwaited.get(jobId) ?? 0) + 1);
  return () => picturesAwaited.set(jobId, picturesAwaited.get(jobId)! - 1);
}

let turns: Promise<void> = Promise.resolve();

/** What takes hold of jobs, one after the other: this tab must not stand in its own way. Not to be nested. */
export function inTurn<Result>(act: () => Promise<Result>): Promise<Result> {
  const turn = turns.then(act);
  turns = turn.then(
    () => {},
    () => {},
  );
  return turn;
}

let barred = false;
const BARRED = 'A file is being read in, which may replace jobs. Do it again when that is over.';

/** Jobs may be written over meanwhile: no other one is opened, and none is changed, so that no change is lost. */
export function barringJobs<Result>(act: () => Promise<Result>): Promise<Result> {
  return inTurn(async () => {
    barred = true;
    try {
      await saving;
      return await act();
    } finally {
      barred = false;
    }
  });
}

/** One after the other: the job that was asked for last stays open, and a second click doesn't bar the first. */
export async function openJob(id: string): Promise<void> {
  if (barred) say(BARRED, 'trouble');
  else await inTurn(() => openInTurn(id));
}

/** For whoever has the turn already. */
export async function openInTurn(id: string): Promise<void> {
  let hold: JobHold | null = null;
  try {
    await saving;
    const kept = await record();
    hold = await holdJob(id);
    const { job, firings, unreadable } = await asKept(kept, id);
    if (!hold) {
      say(`Job ${job.number} is open in another tab. Close it there to open it here.`, 'trouble');
      return;
    }
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
    // Nothing can bring a deleted picture back from here on. Should this fail, it is done another time.
    if (!picturesAwaited.get(id)) await kept.dropUnusedPictures(id).catch(() => {});
  } catch (error) {
    hold?.giveBack();
    say((error as Error).message, 'trouble');
  }
}

/** The job with every change that was made up to now: it may be the open one, opened anew. */
async function asKept(kept: Awaited<ReturnType<typeof record>>, id: string) {
  for (;;) {
    const changes = saving;
    await changes;
    const whole = { job: await kept.loadJob(id), ...(await kept.loadFirings(id)) };
    if (changes === saving) return whole;
  }
}

/** The open job is put away: no job is open. */
export function closeJob(): void {
  dropReference('set-up changed');
  forgetSteps();
  view.setState({ job: null, mark: null, readings: [], unreadable: 0, shown: null });
  letGoOfJob();
}

/** Resolves once every change made so far is written or refused. */
export const changesWritten = (): Promise<void> => saving;

/** Changes the open job: shown at once, written in the order of the changes, undoable as one step a field. */
export function changeJob(change: (job: Job) => Job, words: string): void {
  const before = view.getState().job;
  if (!before) return;
  const after = change(before);
  const forget = undoable(words, () => {
    const now = view.getState().job ?? after;
    return put(withoutChange(now, before, after), now);
  });
  put(after, before).catch((error: Error) => {
    forget();
    say(error.message, 'trouble');
  });
}

/**
 * Adds to the open job what has happened and can't be made undone, such as a paper that was handed out. Waits
 * until jobs may be changed.
 *
 * @throws RecordError when it can't be written; then it isn't in the job either.
 */
export async function noteInJob(change: (job: Job) => Job): Promise<void> {
  const id = view.getState().job?.id;
  while (barred) await turns;
  const before = view.getState().job;
  if (before?.id !== id) throw new Error('Another job has been opened meanwhile.');
  if (before) await put(change(before), before);
}

/** The job has come into another state, now. */
export function setJobState(state: JobState): void {
  const at = new Date().toISOString();
  changeJob((job) => ({ ...job, states: [...job.states, { state, at }] }), `state “${state}”`);
}

/**
 * Shows a state of the job and writes it after those before it. Rejects, with the other state and the mark
 * back on show, when it can't be written.
 */
function put(job: Job, instead: Job): Promise<void> {
  if (barred) return Promise.reject(new Error(BARRED));
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
    jobs: v.jobs.map((other) => (other.id === job.id ? summaryOf(job) : other)),
    mark: job.series.speeds.some((s) => s.label === v.mark) ? v.mark : firstTimed(job),
  }));
}

/** State of assembly or set-up; outcomes change no light, nor do notes, linearity, bandwidth and the temperature. */
const lightMayDiffer = (a: Job, b: Job, stage: StageId): boolean => {
  const stands = ({ assembly, setUp }: Job['stages'][StageId]) =>
    JSON.stringify([
      { ...assembly, temperature: null },
      { ...setUp, note: '', linearity: null, bandwidthHz: null },
    ]);
  return stands(a.stages[stage]) !== stands(b.stages[stage]);
};

/** What stands in place of readings for the present mark; null takes it back. */
export function recordOutcome(outcome: Outcome | null): void {
  const { mark, stage } = view.getState();
  if (mark === null) return;
  changeJob(
    (job) => {
      const { [mark]: _, ...others } = job.stages[stage].outcomes;
      const outcomes = outcome === null ? others : { ...others, [mark]: outcome };
      return { ...job, stages: { ...job.stages, [stage]: { ...job.stages[stage], outcomes } } };
    },
    outcome === null ? `outcome at ${mark} taken back` : `${mark} ${outcome}`,
  );
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
