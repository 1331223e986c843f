/** A test of the contact's lead before any shutter is judged: the contact is worked by hand and watched. */
import type { StreamEvent } from '../link/stream.ts';
import { losesContact } from './contact-history.ts';
import { SETTLED_SECONDS } from './flash-contact.ts';

/** A break shorter than this is a bounce: no hand parts and closes a contact so fast. Our own choice. */
export const BREAK_SECONDS = 0.025;
/** With more bounces than this in a closure, on average, the contact is said to bounce. Our own choice. */
export const MOST_BOUNCES = 3;

export interface ContactLead {
  readonly state: 'works' | 'never closed' | 'always closed' | 'bounces';
  readonly closures: number;
  readonly bounces: number;
  readonly seconds: number;
}

/**
 * Watches the contact from its construction on, by the stream's events. Each of its figures may be read at any
 * time. Edges that the board could not time count as bounces, two to a bounce.
 */
export class ContactLeadTest {
  readonly #tickHz: number;
  #closed: boolean | null;
  #seenOpen: boolean;
  #touched = false;
  /** Closures that are over, or that have been counted in spite of going on. */
  #closures = 0;
  #bounces = 0;
  #edges = 0;
  /** Whether the present closure has been counted. */
  #counted = false;
  /** When the contact closed and opened last; null if that was before the test, or unseen. */
  #closedAt: number | null = null;
  #openedAt: number | null = null;
  #firstTick: number | null = null;
  #latestTick = 0;

  /** `closed`: how the contact stands now (contact-state.ts); null if nobody knows. */
  constructor({ tickHz, closed }: { readonly tickHz: number; readonly closed: boolean | null }) {
    this.#tickHz = tickHz;
    this.#closed = closed;
    this.#seenOpen = closed === false;
  }

  /** Null while nobody knows. */
  get closed(): boolean | null {
    return this.#closed;
  }

  /** Closures that have lasted 1 ms or more; the present one is among them as soon as it has. */
  get closures(): number {
    return this.#closures + (this.#closed === true && !this.#counted && this.#hasLasted() ? 1 : 0);
  }

  get bounces(): number {
    return this.#bounces;
  }

  /** How long it has been watched, by the board's clock. */
  get seconds(): number {
    return this.#firstTick === null ? 0 : (this.#latestTick - this.#firstTick) / this.#tickHz;
  }

  take(event: StreamEvent): void {
    if (event.kind === 'run') {
      this.#pass(event.firstTick, event.firstTick + event.values.length * event.ticksPerSample);
    } else if (event.kind === 'contact') {
      this.#pass(event.tick, event.tick);
      if (event.lost > 0 && this.#edges > 0) this.#bounces += Math.ceil(event.lost / 2);
      if (event.closed) this.#closing(event.tick, event.lost);
      else this.#opening(event.tick);
      this.#edges++;
    } else if (event.kind === 'gap' && losesContact(event.cause)) {
      this.#closed = null;
      this.#closedAt = null;
      this.#openedAt = null;
    }
  }

  /** Null: the contact has not moved, and nobody knows how it stands. */
  result(): ContactLead | null {
    const state = this.#state();
    return state && { state, closures: this.closures, bounces: this.bounces, seconds: this.seconds };
  }

  #state(): ContactLead['state'] | null {
    const { closures, bounces } = this;
    if (this.#closed === true && !this.#seenOpen) return 'always closed';
    if (bounces > MOST_BOUNCES * closures || (closures === 0 && this.#touched)) return 'bounces';
    if (closures > 0) return 'works';
    return this.#seenOpen ? 'never closed' : null;
  }

  #pass(from: number, to: number): void {
    this.#firstTick ??= from;
    this.#latestTick = Math.max(this.#latestTick, to);
  }

  /** An edge with a loss before it may be the board's first word on a contact that has stood closed all along. */
  #closing(tick: number, lost: number): void {
    if (this.#closed === true) return;
    if (this.#closed === null && lost === 0) this.#seenOpen = true;
    if (this.#openedAt !== null && (tick - this.#openedAt) / this.#tickHz < BREAK_SECONDS) this.#bounces++;
    else this.#counted = false;
    this.#closed = true;
    this.#touched = true;
    this.#closedAt = tick;
  }

  #opening(tick: number): void {
    if (this.#closed === false) return;
    if (!this.#counted && this.#hasLasted()) {
      this.#closures++;
      this.#counted = true;
    }
    this.#closed = false;
    this.#seenOpen = true;
    this.#openedAt = tick;
  }

  /** A closure whose beginning nobody saw has lasted. */
  #hasLasted(): boolean {
    return this.#closedAt === null || (this.#latestTick - this.#closedAt) / this.#tickHz >= SETTLED_SECONDS;
  }
}
