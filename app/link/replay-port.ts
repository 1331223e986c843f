import { MessageReader } from '../../firmware-protocol/decode.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import type { BoardPort, PortRead } from './port.ts';
import type { Recording } from './recording.ts';

/** What the project's own board says of itself, for raw bytes without an introduction. */
const assumedHello: Hello = {
  type: 'hello',
  sequence: 0,
  protocol: 1,
  kind: 'samples',
  board: 'not stated',
  firmware: '0.0',
  image: 0,
  serial: '',
  tickHz: 2_000_000,
  ticksPerConversion: 52,
  bits: 8,
  channels: 7,
  resetCause: 0,
};

/**
 * Which board a recording is of: by its header, else by the first introduction among its bytes. Without
 * either it is taken for the project's own board, and `assumed` is set.
 */
export function introductionOf({ header, chunks }: Recording): { hello: Hello; assumed: boolean } {
  if (header.hello) return { hello: header.hello, assumed: false };
  const reader = new MessageReader();
  for (const { bytes } of chunks) {
    let hello: Hello | null = null;
    reader.push(
      bytes,
      (message) => {
        if (message.type === 'hello') hello ??= message;
      },
      () => {},
    );
    if (hello !== null) return { hello, assumed: false };
  }
  return { hello: assumedHello, assumed: true };
}

/** No board is silent for longer within a recording: a file that says so is damaged there. */
const LONGEST_PAUSE_MS = 3_600_000;

/**
 * Plays a recording through the same interface as a board, at the pace it was recorded. Arrivals are those
 * of the recording, moved to the present, so that the clock check sees them as they were.
 */
export class ReplayPort implements BoardPort {
  readonly kind = 'recording';
  #recording: Recording;
  #next = -1;
  #begun = 0;
  /** Arrival of the chunk played last, in ms after the first. */
  #played = 0;
  #closed = false;
  #wake: (() => void) | null = null;

  constructor(recording: Recording) {
    this.#recording = recording;
  }

  async open(): Promise<void> {
    this.#next = -1;
    this.#closed = false;
    this.#begun = performance.now();
    this.#played = 0;
  }

  async read(): Promise<PortRead> {
    const { chunks } = this.#recording;
    if (this.#next < 0) {
      this.#next = 0;
      const bytes = encodeMessage(introductionOf(this.#recording).hello);
      return { kind: 'bytes', bytes, at: performance.now() };
    }
    const chunk = chunks[this.#next];
    if (this.#closed) return { kind: 'ended', cause: 'closed' };
    if (!chunk) return { kind: 'ended', cause: 'end of recording' };
    const since = chunk.at - chunks[0]!.at;
    // A file may say anything, and a time that is no number would get into the clock check and the figures.
    if (since >= this.#played && since - this.#played <= LONGEST_PAUSE_MS) this.#played = since;
    const due = this.#begun + this.#played;
    await this.#until(due);
    if (this.#closed) return { kind: 'ended', cause: 'closed' };
    this.#next++;
    return { kind: 'bytes', bytes: chunk.bytes, at: due };
  }

  async write(): Promise<void> {
    // A recording can't be told anything; the session sends it nothing but the question who it is.
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#wake?.();
  }

  #until(due: number): Promise<void> {
    const wait = due - performance.now();
    if (wait <= 0) return Promise.resolve();
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, wait);
      this.#wake = () => {
        clearTimeout(timer);
        resolve();
      };
    });
  }
}
