import { type BoardPort, PortError } from '../port.ts';
import { FlashError } from './firmware-report.ts';
import type { LineTime } from './line-time.ts';
import { type Answer, findAnswer } from './stk500.ts';

/**
 * A page and its answer take 35 ms at 57,600 baud and a bridge may add 16. The rest is for a computer that is busy; a
 * boot loader gives up listening after a second.
 */
const ANSWER_MS = 800;
/** A write or an opening that takes longer hangs for good. */
const PORT_MS = 8000;
/** Longer than a bridge holds bytes back. */
const QUIET_MS = 60;
/** Something that talks all the time never becomes quiet. */
const MOST_QUIET_LOOKS = 6;

/** One port while firmware is put on: bytes out, answers in, each with a time limit. */
export class BoardLine {
  readonly #port: BoardPort;
  readonly #time: LineTime;
  readonly #signal: AbortSignal | undefined;
  #baudRate = 0;
  #isOpen = false;
  /** Ended for good: by the cable, or by the user. */
  #failure: FlashError | null = null;
  #received: number[] = [];
  /** Called when bytes come and when the line ends. */
  #wake: () => void = () => {};
  readonly #abort = () => this.#fail(new FlashError('given up', GIVEN_UP));

  constructor(port: BoardPort, time: LineTime, signal?: AbortSignal) {
    this.#port = port;
    this.#time = time;
    this.#signal = signal;
    signal?.addEventListener('abort', this.#abort);
    if (signal?.aborted) this.#abort();
  }

  /** Opens the port at this speed, closing it first if it is open. Most boards are reset by it. */
  async open(baudRate: number): Promise<void> {
    await this.#closePort();
    this.#check();
    this.#baudRate = baudRate;
    const opening = this.#port.open(baudRate);
    // An opening that comes about after all must not leave the port open behind everybody's back.
    const opened = await this.#within(
      opening,
      () =>
        void opening.then(
          () => this.#port.close(),
          () => {},
        ),
    );
    if (!opened) throw new FlashError('could not open', OPEN_HANGS);
    this.#isOpen = true;
    void this.#pump();
  }

  /** Resets the board by its modem lines, or by opening the port anew where there are none. */
  async reset(): Promise<void> {
    this.#received = [];
    if (!this.#port.pulseReset) await this.open(this.#baudRate);
    else await this.#within(this.#port.pulseReset(), () => {});
  }

  /** Never throws. */
  async close(): Promise<void> {
    this.#signal?.removeEventListener('abort', this.#abort);
    await this.#closePort();
  }

  /**
   * Sends a command and waits for its answer, which has `dataLength` bytes of data; null when none came in time.
   * @throws FlashError when the cable is pulled or the user gives up.
   */
  async exchange(command: Uint8Array, dataLength: number, limit = ANSWER_MS): Promise<Answer | null> {
    this.#check();
    this.#received = [];
    const written = await this.#within(this.#port.write(command), () => {});
    if (!written) this.#lose();
    const look = () => findAnswer(Uint8Array.from(this.#received), dataLength);
    return this.#until(look, limit);
  }

  /** Waits until nothing has come for a while, and forgets what came. */
  async settle(): Promise<void> {
    for (let look = 0; look < MOST_QUIET_LOOKS; look++) {
      this.#received = [];
      await this.#until(() => (this.#received.length > 0 ? true : null), QUIET_MS);
      if (this.#received.length === 0) return;
      await this.#until(() => null, QUIET_MS);
    }
    this.#received = [];
  }

  /** What `look` finds as bytes come, or null when the time is up. */
  #until<Found>(look: () => Found | null, limit: number): Promise<Found | null> {
    return new Promise((resolve, reject) => {
      const end = (settle: () => void) => {
        callOff();
        this.#wake = () => {};
        settle();
      };
      const callOff = this.#time.after(limit, () => end(() => resolve(look())));
      this.#wake = () => {
        const failure = this.#failure;
        if (failure) return end(() => reject(failure));
        const found = look();
        if (found !== null) end(() => resolve(found));
      };
      this.#wake();
    });
  }

  /** Whether what the port does was done within the limit. `tooLate` is called if not, also when the line has ended. */
  async #within(done: Promise<void>, tooLate: () => void): Promise<boolean> {
    let finished = false;
    let failed: unknown = null;
    const outcome = done.then(
      () => {
        finished = true;
        this.#wake();
      },
      (error: unknown) => {
        failed = error ?? new Error('unknown');
        this.#wake();
      },
    );
    void outcome;
    try {
      await this.#until(() => (finished || failed !== null ? true : null), PORT_MS);
    } catch (error) {
      if (!finished) tooLate();
      throw error;
    }
    if (failed !== null) this.#portFailed(failed);
    if (!finished) tooLate();
    return finished;
  }

  #portFailed(error: unknown): never {
    if (!this.#isOpen) {
      const sentence = error instanceof PortError ? error.message : `The port could not be opened: ${error}.`;
      throw new FlashError('could not open', sentence);
    }
    this.#lose();
  }

  #lose(): never {
    this.#fail(new FlashError('gone', GONE));
    throw this.#failure;
  }

  #check(): void {
    if (this.#failure) throw this.#failure;
  }

  #fail(failure: FlashError): void {
    this.#failure ??= failure;
    this.#wake();
  }

  async #pump(): Promise<void> {
    for (;;) {
      const read = await this.#port.read();
      if (read.kind === 'bytes') {
        for (const byte of read.bytes) this.#received.push(byte);
        this.#wake();
      } else if (read.kind === 'ended') {
        // Closing is this line's own doing.
        if (read.cause !== 'closed') this.#fail(new FlashError('gone', GONE));
        return;
      }
      // A fault that is not fatal means that bytes are missing; the answer shows it.
    }
  }

  async #closePort(): Promise<void> {
    if (!this.#isOpen) return;
    this.#isOpen = false;
    await this.#port.close();
  }
}

const GIVEN_UP =
  'Stopped. If writing had begun, the board has no whole firmware now: put it on again before you use the board.';
const GONE =
  'The board went away while the firmware was being put on. Plug it in again and repeat it: the board’s boot loader is untouched.';
const OPEN_HANGS =
  'The port did not open. Unplug the board, plug it in again and repeat it; a restart of the browser helps if the port stays stuck.';
