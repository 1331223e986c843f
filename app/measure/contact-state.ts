import type { StreamEvent } from '../link/stream.ts';
import { losesContact } from './contact-history.ts';

/**
 * A board counts the contact as open after a reset, and tells within half a second if it is closed. Its ticks begin
 * near 0 then: where the stream begins this soon after, the link has heard all there was to hear.
 */
const FRESH_SECONDS = 5;
const TOLD_SECONDS = 0.6;

/**
 * Whether the flash contact stands closed, as the stream of one session tells it from its beginning. It outlives
 * finders and tests, and each of them is told how the contact stood when it began.
 */
export class ContactState {
  readonly #tickHz: number;
  #closed: boolean | null = null;
  /** Nothing has come since the stream began, which may have been at a reset. */
  #atBeginning = true;
  #fresh = false;

  constructor({ tickHz }: { readonly tickHz: number }) {
    this.#tickHz = tickHz;
  }

  /** Null: nobody knows. The board wasn't reset, or data were lost, and the contact hasn't moved since. */
  get closed(): boolean | null {
    return this.#closed;
  }

  take(event: StreamEvent): void {
    if (event.kind === 'gap') {
      if (!losesContact(event.cause)) return;
      this.#closed = null;
      this.#fresh = false;
      this.#atBeginning = event.cause === 'restarted';
    } else if (event.kind === 'contact') {
      this.#closed = event.closed;
    } else if (event.kind === 'run') {
      const sinceReset = event.firstTick / this.#tickHz;
      if (this.#atBeginning) this.#fresh = sinceReset < FRESH_SECONDS;
      this.#atBeginning = false;
      if (this.#fresh && sinceReset >= TOLD_SECONDS) this.#closed ??= false;
    }
  }
}
