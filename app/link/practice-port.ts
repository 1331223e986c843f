import { PracticeBench } from '../practice/practice-bench.ts';
import type { PracticeState } from '../practice/practice-core.ts';
import { type BoardPort, PortError, type PortRead } from './port.ts';

export interface PracticePortOptions {
  /** The firmware: Intel HEX text. */
  readonly image: string;
  readonly seed: number;
  readonly onState: (state: PracticeState) => void;
}

/** The practice board behind the same interface as a real one. Opening it powers it on. */
export class PracticePort implements BoardPort {
  readonly kind = 'practice';
  readonly name = 'practice board';
  #options: PracticePortOptions;
  #bench: PracticeBench | null = null;
  #queue: PortRead[] = [];
  #waiting: ((read: PortRead) => void) | null = null;

  constructor(options: PracticePortOptions) {
    this.#options = options;
  }

  /** The shutter's controls; null while the board is off. */
  get bench(): PracticeBench | null {
    return this.#bench;
  }

  async open(): Promise<void> {
    this.#queue = [];
    this.#bench = new PracticeBench({
      ...this.#options,
      onBytes: (bytes) => this.#put({ kind: 'bytes', bytes, at: performance.now() }),
      onFailure: (reason) => {
        console.error(`practice board: ${reason}`);
        this.#put({ kind: 'ended', cause: 'disconnected' });
      },
    });
  }

  read(): Promise<PortRead> {
    const next = this.#queue.shift();
    if (next) return Promise.resolve(next);
    return new Promise((resolve) => {
      this.#waiting = resolve;
    });
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (!this.#bench) throw new PortError('gone', 'The practice board is off.');
    this.#bench.write(bytes);
  }

  async close(): Promise<void> {
    this.#bench?.close();
    this.#bench = null;
    this.#put({ kind: 'ended', cause: 'closed' });
  }

  #put(read: PortRead): void {
    const waiting = this.#waiting;
    this.#waiting = null;
    if (waiting) waiting(read);
    else this.#queue.push(read);
  }
}
