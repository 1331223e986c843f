/** A jump of one clock against the other by so much is a sleep of the computer, in ms. */
const JUMP_MS = 10_000;
/** Nothing read for so long, by either clock, while bytes must have come: the page was frozen, or the computer slept. */
const UNREAD_MS = 60_000;

/**
 * Notices that the computer slept or the page was frozen. Some systems stop the monotonic clock meanwhile, and the
 * calendar then jumps against it; where it goes on, the reads are far apart. Setting the calendar by hand looks the
 * same and costs no more than a new introduction.
 */
export class SleepWatch {
  #monotonic: number;
  #calendar: number;

  /** Both in ms. */
  constructor(monotonic: number, calendar: number) {
    this.#monotonic = monotonic;
    this.#calendar = calendar;
  }

  /** To be asked with each read, and now and then without one. True: it slept since it was asked last. */
  look(monotonic: number, calendar: number): boolean {
    const passed = monotonic - this.#monotonic;
    const jump = calendar - this.#calendar - passed;
    this.#monotonic = monotonic;
    this.#calendar = calendar;
    return Math.abs(jump) > JUMP_MS || passed > UNREAD_MS;
  }
}
