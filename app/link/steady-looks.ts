/** By so much of the time between two looks a timer has to be late before others look in its place. */
const LATE = 0.5;

/**
 * Looks at something every so many ms: by a timer, and where that is late with what is heard, since the timers of a
 * page that has been hidden for a minute come once a minute. What fell due meanwhile is one look: a page that was
 * frozen has not listened.
 */
export class SteadyLooks {
  readonly #everyMs: number;
  readonly #look: () => void;
  readonly #timer: ReturnType<typeof setInterval>;
  #last = performance.now();

  constructor(everyMs: number, look: () => void) {
    this.#everyMs = everyMs;
    this.#look = look;
    this.#timer = setInterval(() => this.#lookNow(), everyMs);
  }

  /** Something was heard: as good a moment as any. */
  heard(): void {
    if (performance.now() - this.#last > (1 + LATE) * this.#everyMs) this.#lookNow();
  }

  stop(): void {
    clearInterval(this.#timer);
  }

  #lookNow(): void {
    this.#last = performance.now();
    this.#look();
  }
}
