/** What lies between the practice shutter's flash contact and the board: the lead, and a hand that tries it. */
import type { EmulatedBoard } from './board.ts';

export const LEAD_STATES = ['plugged in', 'not plugged in', 'short circuit'] as const;
export type LeadState = (typeof LEAD_STATES)[number];

/** A change at a cycle, now or to come. */
export interface LineChange {
  readonly cycle: number;
  readonly closed: boolean;
}

type Source = 'shutter' | 'hand';

type Line = Pick<EmulatedBoard, 'cycle' | 'setContact' | 'forgetContact'>;

/** A contact that is closed by hand opens and closes again so many seconds after the first touch. */
const HAND_BOUNCES = [0.6e-3, 0.9e-3];
/** From the order to the touch. */
const HAND_LAG = 1e-3;
const LONGEST_TOUCH = 10;

/** @throws RangeError unless above 0 to 10 s. */
export function checkTouch(seconds: number): void {
  if (seconds > 0 && seconds <= LONGEST_TOUCH) return;
  throw new RangeError(`A contact is touched for up to ${LONGEST_TOUCH} s.`);
}

/** Brings the contact of shutter or hand to the board's input, as far as the lead lets it. */
export class ContactLine {
  readonly #board: Line;
  #lead: LeadState = 'plugged in';
  /** By source, the changes to come, with the last one that has been. */
  #changes: Record<Source, readonly LineChange[]> = { shutter: [], hand: [] };

  constructor(board: Line) {
    this.#board = board;
  }

  get lead(): LeadState {
    return this.#lead;
  }

  setLead(lead: LeadState): void {
    this.#lead = lead;
    this.#order();
  }

  /** What the shutter's contact will do, on top of what it is about to do. In order. */
  shutterWill(changes: readonly LineChange[]): void {
    this.#add('shutter', changes);
  }

  /** A hand closes the contact for so many seconds. @throws RangeError unless above 0 to 10 s. */
  touch(seconds: number, cyclesPerSecond: number): void {
    checkTouch(seconds);
    const from = this.#board.cycle + HAND_LAG * cyclesPerSecond;
    const at = (time: number, closed: boolean) => ({ cycle: from + time * cyclesPerSecond, closed });
    this.#add('hand', [
      at(0, true),
      ...HAND_BOUNCES.map((time, n) => at(time, n % 2 === 1)),
      at(HAND_BOUNCES.at(-1)! + seconds, false),
    ]);
  }

  #add(source: Source, changes: readonly LineChange[]): void {
    const now = this.#board.cycle;
    const before = this.#changes[source];
    const last = before.findLast(({ cycle }) => cycle <= now);
    const coming = before.filter(({ cycle }) => cycle > now);
    const added = changes.map(({ cycle, closed }) => ({ cycle: Math.round(cycle), closed }));
    const all = [...coming, ...added].toSorted((a, b) => a.cycle - b.cycle);
    this.#changes[source] = last === undefined ? all : [last, ...all];
    this.#order();
  }

  /** Tells the board anew what its input will see from now on. */
  #order(): void {
    const now = this.#board.cycle;
    this.#board.forgetContact();
    let stands = this.#isClosed(now);
    this.#board.setContact(stands);
    const coming = Object.values(this.#changes).flatMap((changes) => changes.map(({ cycle }) => cycle));
    for (const cycle of coming.filter((cycle) => cycle > now).toSorted((a, b) => a - b)) {
      const closed = this.#isClosed(cycle);
      if (closed !== stands) this.#board.setContact(closed, cycle);
      stands = closed;
    }
  }

  #isClosed(cycle: number): boolean {
    if (this.#lead !== 'plugged in') return this.#lead === 'short circuit';
    return Object.values(this.#changes).some(
      (changes) => changes.findLast((change) => change.cycle <= cycle)?.closed === true,
    );
  }
}
