/** Something a chip part will do at a cycle it knows beforehand. A part owns its events and reuses them. */
export class ScheduledEvent {
  cycle = Number.POSITIVE_INFINITY;
  next: ScheduledEvent | null = null;
  waiting = false;
  /** Called with the cycle the event was due at, which may lie a few cycles back: instructions aren't divided. */
  readonly happen: (dueCycle: number) => void;

  constructor(happen: (dueCycle: number) => void) {
    this.happen = happen;
  }
}

/**
 * What is due next. A sorted list: a running board has about five events waiting, so walking it costs
 * less than a heap. Events due at the same cycle happen in the order in which they were scheduled.
 */
export class EventQueue {
  /** Cycle of the earliest event; infinite when none waits. Read after every instruction. */
  nextCycle = Number.POSITIVE_INFINITY;
  #first: ScheduledEvent | null = null;

  /** Sets the event for this cycle; one that is already waiting moves. */
  schedule(event: ScheduledEvent, cycle: number): void {
    if (event.waiting) this.cancel(event);
    event.cycle = cycle;
    event.waiting = true;
    let before: ScheduledEvent | null = null;
    let after = this.#first;
    while (after !== null && after.cycle <= cycle) {
      before = after;
      after = after.next;
    }
    event.next = after;
    if (before === null) {
      this.#first = event;
      this.nextCycle = cycle;
    } else {
      before.next = event;
    }
  }

  cancel(event: ScheduledEvent): void {
    if (!event.waiting) return;
    let before: ScheduledEvent | null = null;
    let here = this.#first;
    while (here !== null && here !== event) {
      before = here;
      here = here.next;
    }
    if (before === null) this.#first = event.next;
    else before.next = event.next;
    event.next = null;
    event.waiting = false;
    this.nextCycle = this.#first === null ? Number.POSITIVE_INFINITY : this.#first.cycle;
  }

  /** Lets everything happen that is due at this cycle or before, also what such events schedule. */
  runDue(cycle: number): void {
    let event = this.#first;
    while (event !== null && event.cycle <= cycle) {
      this.#first = event.next;
      this.nextCycle = this.#first === null ? Number.POSITIVE_INFINITY : this.#first.cycle;
      event.next = null;
      event.waiting = false;
      event.happen(event.cycle);
      event = this.#first;
    }
  }
}
