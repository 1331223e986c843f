import type { EmulatedBoard } from './board.ts';

/** A release is held down for at least so many seconds, however briefly a button is clicked. */
const SHORTEST_PRESS = 0.12;

/** The switch at the practice shutter's release, as the board sees it. */
export class ReleaseSwitch {
  readonly #board: Pick<EmulatedBoard, 'cycle' | 'setRelease'>;
  readonly #shortest: number;
  /** From which cycle on it is, or will be, up; infinite while it is held down. */
  #upAt = 0;
  #pressedAt = 0;

  constructor(board: Pick<EmulatedBoard, 'cycle' | 'setRelease'>, cyclesPerSecond: number) {
    this.#board = board;
    this.#shortest = SHORTEST_PRESS * cyclesPerSecond;
  }

  press(): void {
    if (this.#board.cycle < this.#upAt) return;
    this.#pressedAt = this.#board.cycle;
    this.#upAt = Number.POSITIVE_INFINITY;
    this.#board.setRelease(true);
  }

  letGo(): void {
    if (this.#upAt !== Number.POSITIVE_INFINITY) return;
    this.#upAt = Math.max(this.#board.cycle, Math.round(this.#pressedAt + this.#shortest));
    this.#board.setRelease(false, this.#upAt);
  }
}
