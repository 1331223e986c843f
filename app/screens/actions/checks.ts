/**
 * Checks made before, between or after the readings, of the instrument and of the camera: what they have in
 * common. One runs at a time, and while it does nothing is filed as a firing. Each has a file of its own beside
 * this one.
 */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { StreamEvent } from '../../link/stream.ts';
import type { Firing } from '../../measure/figures.ts';
import type { Check } from '../../record/job.ts';
import { view } from '../view.ts';
import { changeJob } from './jobs.ts';
import { say } from './notices.ts';

/** What a check needs of the connection that it runs on. */
export interface CheckedBoard {
  readonly hello: Hello;
  readonly channel: number;
  /** How the flash contact stands as the check begins; null: nobody knows. */
  readonly contactClosed: boolean | null;
  /** Sends reference pulses, lengths in ticks; rejects with a sentence. Count 0 ends those that run. */
  readonly pulses: (width: number, gap: number, count: number) => Promise<void>;
  /** To be called when the check has ended, however it did. */
  readonly over: () => void;
}

/** A check as it is begun: what it does with the stream, and what has to be put away when it ends. */
export interface RunningCheck {
  readonly event: (event: StreamEvent) => void;
  /** The light has come; its firing follows when it is over. */
  readonly light?: () => void;
  readonly firing?: (firing: Firing) => void;
  /** True as long as everything it found is kept already: then to leave it loses nothing. */
  readonly keepsAsItGoes?: () => boolean;
  readonly ended: () => void;
}

let running: RunningCheck | null = null;
/** Ends the watch over job, stage and screen of the running check. */
let unwatch: (() => void) | null = null;

/**
 * What a check finds belongs to the job and the stage that it was begun for. Nor does it go on unseen: whoever
 * has gone to the bench wants the firings filed.
 */
export function begin(check: RunningCheck): void {
  running = check;
  const { job, stage, screen } = view.getState();
  unwatch = view.subscribe((now) => {
    const lost = !check.keepsAsItGoes?.();
    if (now.job?.id !== job?.id || now.stage !== stage)
      abandonCheck(lost ? 'The check was ended without a result: another job or stage was chosen.' : null);
    else if (now.screen !== screen)
      abandonCheck(lost ? 'The check was ended without a result: its screen was left.' : null);
  });
}

export const isChecking = (): boolean => running !== null;

/** Whether this check is still the one that runs: it may have been left while something was waited for. */
export const isRunning = (check: RunningCheck): boolean => running === check;

export function takeCheckEvent(event: StreamEvent): void {
  running?.event(event);
}

export function takeCheckLight(): void {
  running?.light?.();
}

export function takeCheckFiring(firing: Firing): void {
  running?.firing?.(firing);
}

/** Ends a check without a result: by the user, or because the board is gone or tells nothing. */
export function abandonCheck(why: string | null = null): void {
  if (running === null) return;
  endCheck();
  if (why !== null) say(why, 'trouble');
}

/** Ends the running check; what it found, if anything, is the caller's to keep. */
function endCheck(): void {
  const { ended } = running!;
  running = null;
  unwatch?.();
  view.setState({ checking: null });
  ended();
}

/** Ends the running check and keeps its result with the job. */
export function keepCheck(check: Check, words: string): void {
  endCheck();
  changeJob((job) => ({ ...job, checks: [...job.checks, check] }), words);
}

/** When and at which stage a result is kept. */
export const stamped = () => ({ at: new Date().toISOString(), stage: view.getState().stage });
