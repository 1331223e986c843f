import type { LineTime } from '../../../app/link/flashing/line-time.ts';

/** Longer than anything may take: what is not done by then hangs. */
const LONGEST = 15 * 60_000;

/** Time, in milliseconds, that moves only when a test moves it. */
export class VirtualTime implements LineTime {
  #now = 0;
  readonly #waiting = new Set<{ readonly at: number; readonly call: () => void }>();

  now(): number {
    return this.#now;
  }

  after(milliseconds: number, call: () => void): () => void {
    const entry = { at: this.#now + milliseconds, call };
    this.#waiting.add(entry);
    return () => this.#waiting.delete(entry);
  }

  sleep(milliseconds: number): Promise<void> {
    return new Promise((resolve) => this.after(milliseconds, resolve));
  }

  get nextDue(): number {
    let next = Number.POSITIVE_INFINITY;
    for (const { at } of this.#waiting) next = Math.min(next, at);
    return next;
  }

  advanceTo(time: number): void {
    this.#now = Math.max(this.#now, time);
    for (const entry of [...this.#waiting].sort((a, b) => a.at - b.at)) {
      if (entry.at > this.#now || !this.#waiting.delete(entry)) continue;
      entry.call();
    }
  }
}

/** Something that goes on with time, as a board does. */
export interface Lives {
  /** Whether anything may come of letting it go on. */
  readonly isAwake: boolean;
  liveTo(time: number): void;
}

/**
 * Lets time go by until the promise settles, in steps of a millisecond while the board is awake.
 * @throws Error when it never does.
 */
export async function passTime<Outcome>(
  time: VirtualTime,
  board: Lives,
  promise: Promise<Outcome>,
): Promise<Outcome> {
  let settled = false;
  const done = () => {
    settled = true;
  };
  promise.then(done, done);
  await turn();
  while (!settled) {
    const next = Math.min(time.nextDue, board.isAwake ? time.now() + 1 : Number.POSITIVE_INFINITY);
    if (next > LONGEST) throw new Error(`It hangs, after ${time.now()} ms`);
    board.liveTo(next);
    time.advanceTo(next);
    await turn();
  }
  return promise;
}

/** All that is ready to go on goes on. */
const turn = () => new Promise<void>((resolve) => setImmediate(resolve));
