import type { GapCause } from './stream.ts';

export interface LineCounts {
  readonly damaged: number;
  readonly faults: number;
  /** All gaps in the stream, whatever made them. */
  readonly gaps: number;
  /** Gaps in the stream that nobody reported as damage: frames or conversions that are missing. */
  readonly lost: number;
}

export const NOTHING_COUNTED: LineCounts = { damaged: 0, faults: 0, gaps: 0, lost: 0 };

/** Counts what the line has cost. */
export class LineTally {
  #damaged: number;
  #faults: number;
  #gaps: number;
  #lost: number;
  /** Damage since the last good message: it may turn out to be the greeting of a board at another speed. */
  #unconfirmed = 0;

  /** `before`: counted on the same line already. */
  constructor(before: LineCounts) {
    this.#damaged = before.damaged;
    this.#faults = before.faults;
    this.#gaps = before.gaps;
    this.#lost = before.lost;
  }

  get counts(): LineCounts {
    return { damaged: this.#damaged, faults: this.#faults, gaps: this.#gaps, lost: this.#lost };
  }

  damage(): void {
    this.#damaged++;
    this.#unconfirmed++;
  }

  fault(): void {
    this.#faults++;
  }

  gap(cause: GapCause): void {
    this.#gaps++;
    if (cause === 'missing' || cause === 'overrun') this.#lost++;
  }

  message(): void {
    this.#unconfirmed = 0;
  }

  /** The board was reset: what could not be read since its last good message was no damage. */
  begunAnew(): void {
    this.#damaged -= this.#unconfirmed;
    this.#unconfirmed = 0;
  }
}
