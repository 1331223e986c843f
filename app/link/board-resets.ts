/** Resets of a board that was in use, and what they say of its supply. */
import type { Hello } from '../../firmware-protocol/messages.ts';

const WITHIN_MS = 60_000;
/** So many within a minute have one cause, which is worth a sentence. */
const OFTEN = 3;
/** So many are no use to anybody. */
const TOO_OFTEN = 10;

const POWER_ON = 1;
const BROWN_OUT = 4;
const WATCHDOG = 8;

export const keepsResetting =
  `The board has been reset ${TOO_OFTEN} times within a minute and was let go. Its supply or its cable is bad: ` +
  'use a short cable straight to the computer, feed no lamp from the board, then connect again.';

export interface ResetWords {
  readonly sentence: string;
  /** Something to see to, not only to know. */
  readonly serious: boolean;
}

/** Counts resets; the times are given. */
export class BoardResets {
  #at: number[] = [];

  /** `at` in ms. False: there were too many. */
  note(at: number): boolean {
    this.#at = [...this.#at.filter((earlier) => at - earlier < WITHIN_MS), at];
    return this.#at.length < TOO_OFTEN;
  }

  /**
   * What there is to say when the board has introduced itself; null when it is as it should be. `wasInUse`: it was
   * live before; that it is reset while it is being opened is as it should be.
   */
  words({ resetCause }: Pick<Hello, 'resetCause'>, wasInUse: boolean): ResetWords | null {
    const often = this.#at.length >= OFTEN;
    // As the supply rises at power-on it passes the brown-out level too: both bits together say nothing.
    if (resetCause & BROWN_OUT && !(resetCause & POWER_ON))
      return serious(
        `The board’s supply fell too low and reset it${often ? `, ${this.#at.length} times within a minute` : ''}. ` +
          'Use a short cable straight to the computer or a hub with a supply of its own, and feed no lamp from the board.',
      );
    if (often)
      return serious(
        `The board was reset ${this.#at.length} times within a minute. Check its cable and its supply: use a short cable ` +
          'straight to the computer, and see that nothing touches its reset pin.',
      );
    if (resetCause & WATCHDOG)
      return serious(
        'The board’s watchdog has reset it: its firmware hung. If that happens again, put the firmware on anew.',
      );
    if (this.#at.length === 0 || !wasInUse) return null;
    return {
      sentence: 'The board was reset and has begun anew. A firing that was under way is spoilt.',
      serious: false,
    };
  }
}

const serious = (sentence: string): ResetWords => ({ sentence, serious: true });
