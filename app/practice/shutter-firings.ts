/** Every firing as it really was, the contact that goes with it, and when the latest one is done. */
import type { ContactLine } from './contact-line.ts';
import { type FiringPlan, lastLight } from './firing-plan.ts';
import { closedAfter } from './shutter.ts';
import { type FiringFacts, type TrueFiring, trueFiring } from './true-firing.ts';

/** Rest kept when blades and contact are done, before the next firing. */
const SETTLING = 10e-3;

export class ShutterFirings {
  readonly #board: { readonly cycle: number };
  readonly #contact: ContactLine;
  readonly #cyclesPerSecond: number;
  readonly #firings: TrueFiring[] = [];

  constructor(board: { readonly cycle: number }, contact: ContactLine, cyclesPerSecond: number) {
    this.#board = board;
    this.#contact = contact;
    this.#cyclesPerSecond = cyclesPerSecond;
  }

  /** The oldest first. */
  get all(): readonly TrueFiring[] {
    return this.#firings;
  }

  /** There must be one. */
  get latest(): TrueFiring {
    return this.#firings.at(-1)!;
  }

  /** When blades and contact of the latest firing are done. */
  get doneCycle(): number {
    const { plan, startCycle } = this.latest;
    const allDone = Math.max(lastLight(plan), plan.contact.at(-1)?.at ?? 0) + SETTLING;
    return startCycle + allDone * this.#cyclesPerSecond;
  }

  /** Since the latest firing; infinite before the first. */
  get restSeconds(): number {
    const last = this.#firings.at(-1);
    return last === undefined ? Number.POSITIVE_INFINITY : this.#secondsSince(last.startCycle);
  }

  begin(facts: FiringFacts): void {
    this.#firings.push(trueFiring(facts));
    this.#scheduleContact(facts.plan, facts.startCycle, 0);
  }

  /** Closes blades whose end was open, now or after they have stood open for so many seconds. */
  close(leastFullyOpen: number): void {
    const firing = this.#firings.pop()!;
    const { plan, startCycle } = firing;
    const sinceOpen = this.#secondsSince(startCycle) - plan.opening.duration;
    const closed = closedAfter(plan, Math.max(leastFullyOpen, sinceOpen));
    this.#firings.push(trueFiring({ ...firing, plan: closed }));
    this.#scheduleContact(closed, startCycle, plan.contact.length);
  }

  #scheduleContact(plan: FiringPlan, startCycle: number, from: number): void {
    const cycle = (at: number) => startCycle + at * this.#cyclesPerSecond;
    this.#contact.shutterWill(
      plan.contact.slice(from).map(({ at, closed }) => ({ cycle: cycle(at), closed })),
    );
  }

  #secondsSince(cycle: number): number {
    return (this.#board.cycle - cycle) / this.#cyclesPerSecond;
  }
}
