/** What the user does about the runs of the self-timer; a run as such is in self-timer-check.ts. */
import type { SelfTimerRun } from '../../judge/camera-checks.ts';
import { view } from '../view.ts';
import { beginSelfTimer } from './begin-check.ts';
import { isChecking } from './checks.ts';
import { changeJob } from './jobs.ts';
import { say } from './notices.ts';
import { releaseByKey } from './self-timer-check.ts';

/**
 * The user presses a bound key together with the release: the time runs from now on, on whatever screen. The
 * screen that shows it is opened.
 */
export function startSelfTimerByKey(): void {
  if (releaseByKey()) return;
  const { job, session, source } = view.getState();
  if (isChecking()) say('Another check is under way: end it first.', 'trouble');
  else if (job === null) say('No job is open: open one to time the self-timer.', 'trouble');
  else if (session.phase !== 'live' || source === 'recording')
    say('No board is connected: the self-timer is timed up to the first light.', 'trouble');
  else {
    // A check belongs to the screen that it was begun on.
    view.setState({ screen: 'camera' });
    location.hash = 'camera';
    beginSelfTimer();
    releaseByKey();
  }
}

const changeRuns = (change: (runs: readonly SelfTimerRun[]) => readonly SelfTimerRun[], words: string) =>
  changeJob((job) => ({ ...job, selfTimer: change(job.selfTimer) }), words);

/** Leaves a run out for a reason, or with null takes it in again. `place`: its number as shown. */
export const setRunAside = (id: string, place: number, reason: string | null): void =>
  changeRuns(
    (runs) => runs.map((run) => (run.id === id ? { ...run, setAside: reason } : run)),
    `run ${place} ${reason === null ? 'brought back' : 'set aside'}`,
  );

export const deleteRun = (id: string, place: number): void =>
  changeRuns((runs) => runs.filter((run) => run.id !== id), `run ${place} deleted`);
