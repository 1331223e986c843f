import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { PracticeBench } from '../practice/practice-bench.ts';
import type { PracticeState } from '../practice/practice-state.ts';
import { type BoardPort, PortError, type PortRead } from './port.ts';
import { ReadQueue } from './read-queue.ts';

export interface PracticePortOptions {
  /** The firmware: Intel HEX text. */
  readonly image: string;
  readonly seed: number;
  /** How much the board's resonator is fast; by the seed when left out. */
  readonly clockPpm?: number;
  readonly onState: (state: PracticeState) => void;
}

/** The practice board behind the same interface as a real one. Opening it powers it on. */
export class PracticePort implements BoardPort {
  readonly kind = 'practice';
  #options: PracticePortOptions;
  #bench: PracticeBench | null = null;
  readonly #queue = new ReadQueue();

  constructor(options: PracticePortOptions) {
    this.#options = options;
  }

  /** The shutter's controls; null while the board is off. */
  get bench(): PracticeBench | null {
    return this.#bench;
  }

  async open(baudRate: number = BAUD_RATES.normal): Promise<void> {
    this.#queue.clear();
    this.#bench = new PracticeBench({
      ...this.#options,
      baudRate,
      onBytes: (bytes) => this.#queue.put({ kind: 'bytes', bytes, at: performance.now() }),
      onFailure: (reason) => {
        console.error(`practice board: ${reason}`);
        this.#queue.put({ kind: 'ended', cause: 'disconnected' });
      },
    });
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (!this.#bench) throw new PortError('gone', 'The practice board is off.');
    this.#bench.write(bytes);
  }

  async close(): Promise<void> {
    this.#bench?.close();
    this.#bench = null;
    this.#queue.put({ kind: 'ended', cause: 'closed' });
  }
}
