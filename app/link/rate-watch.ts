/** When the fast rate is given up: a rule about gaps, without a clock of its own. */
import type { StreamEvent } from './stream.ts';

/** So many losses within so long are too many. What is lost within a second of another loss counts with it. */
export const RATE_LOSSES = 3;
export const RATE_LOSSES_SECONDS = 60;
const ONE_LOSS_MS = 1000;

/**
 * Watches a stream at the fast rate. A gap counts once the stream goes on after it: what ends in a reset, a
 * silence or a pulled cable says nothing of the rate.
 */
export class RateWatch {
  #losses: number[] = [];
  #pending: number | null = null;

  /** `at`: the page's monotonic clock, in ms. */
  take(event: StreamEvent, at: number): void {
    if (event.kind === 'gap') {
      const ofTheLine =
        event.cause !== 'restarted' && event.cause !== 'silence' && event.cause !== 'disconnected';
      this.#pending = ofTheLine ? (this.#pending ?? at) : null;
    } else if (event.kind === 'run' && this.#pending !== null) {
      const last = this.#losses.at(-1) ?? Number.NEGATIVE_INFINITY;
      if (this.#pending - last >= ONE_LOSS_MS) this.#losses.push(this.#pending);
      this.#pending = null;
      this.#losses = this.#losses.filter((loss) => at - loss < RATE_LOSSES_SECONDS * 1000);
    }
  }

  get tooMany(): boolean {
    return this.#losses.length >= RATE_LOSSES;
  }
}
