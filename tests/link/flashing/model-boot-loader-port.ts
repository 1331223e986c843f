import { type BoardPort, PortError, type PortRead } from '../../../app/link/port.ts';
import { ReadQueue } from '../../../app/link/read-queue.ts';
import type { Lives, VirtualTime } from './virtual-time.ts';

const RESET_PULSE_MS = 250;
/** From a reset until it listens, and how long it listens without hearing anything. */
const BLINKS_MS = 440;
const PATIENCE_MS = 1000;
const LATENCY_MS = 2;
const FLASH_BYTES = 0x8000;

export interface ModelOptions {
  readonly bootLoaderStart?: number;
  /** Baud it speaks; 115,200 when left out. */
  readonly baudRate?: number;
  readonly signature?: readonly number[];
  /** What program memory holds at first; 0xff throughout when left out. */
  readonly flash?: Uint8Array;
  /** Cells that keep a bit at 0, as in a chip that is worn out. */
  readonly stuck?: ReadonlyMap<number, number>;
  readonly withoutPulse?: boolean;
  /** No boot loader answers at all. */
  readonly silent?: boolean;
  /** What becomes of an answer: the pieces that come out, each so many ms later. */
  readonly toPage?: (bytes: Uint8Array) => readonly { readonly bytes: Uint8Array; readonly after: number }[];
  readonly toBoard?: (bytes: Uint8Array) => Uint8Array;
}

/**
 * A board whose boot loader is a few lines of ours that do what the small real one does with good and bad commands:
 * thousands of runs in the time that one takes in the emulator. What it may not do is be kinder than the real one,
 * so anything unexpected ends it until the next reset.
 */
export class ModelBootLoaderPort implements BoardPort, Lives {
  readonly kind = 'serial';
  readonly isAwake = false;
  readonly flash: Uint8Array;
  /** Page addresses of the boot loader that were to be written. */
  readonly writesToBootLoader: number[] = [];
  readonly written: Uint8Array[] = [];
  readonly openings: number[] = [];
  readonly pulseReset?: () => Promise<void>;
  isOpen = false;
  pulled = false;
  pagesWritten = 0;
  readonly #time: VirtualTime;
  readonly #options: ModelOptions;
  readonly #queue = new ReadQueue();
  #baudRate = 0;
  #listensFrom = Number.POSITIVE_INFINITY;
  #heardAt = 0;
  #hasLeft = false;
  /** Two bytes wait in the receiver while it blinks. */
  #waiting: number[] = [];
  #run: Generator<void, void, number> | null = null;
  #answer: number[] = [];

  constructor(time: VirtualTime, options: ModelOptions = {}) {
    this.#time = time;
    this.#options = options;
    this.flash = options.flash ?? new Uint8Array(FLASH_BYTES).fill(0xff);
    if (!options.withoutPulse) {
      this.pulseReset = async () => {
        this.#checkThere();
        await time.sleep(RESET_PULSE_MS);
        this.#checkThere();
        this.#reset();
      };
    }
  }

  get start(): number {
    return this.#options.bootLoaderStart ?? 0x7e00;
  }

  // The port ---------------------------------------------------------------------------------------

  async open(baudRate = 500_000): Promise<void> {
    if (this.pulled) throw new PortError('gone', 'The board is no longer there.');
    if (this.isOpen) throw new PortError('busy', 'The port is open.');
    this.#queue.clear();
    this.isOpen = true;
    this.#baudRate = baudRate;
    this.openings.push(baudRate);
    this.#reset();
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    this.#checkThere();
    this.written.push(bytes);
    const arriving = this.#options.toBoard?.(bytes) ?? bytes;
    this.#time.after(LATENCY_MS, () => this.#arrive(arriving));
  }

  async close(): Promise<void> {
    this.isOpen = false;
    this.#queue.put({ kind: 'ended', cause: 'closed' });
  }

  /** The cable is pulled. */
  pull(): void {
    this.pulled = true;
    this.#queue.put({ kind: 'ended', cause: 'disconnected' });
  }

  plugIn(): void {
    this.pulled = false;
  }

  /** Bytes from nowhere. */
  say(bytes: Uint8Array): void {
    if (this.isOpen) this.#queue.put({ kind: 'bytes', bytes, at: this.#time.now() });
  }

  fault(name: string): void {
    this.#queue.put({ kind: 'fault', name });
  }

  liveTo(): void {}

  #checkThere(): void {
    if (this.pulled || !this.isOpen) throw new PortError('gone', 'The board is no longer there.');
  }

  // The boot loader --------------------------------------------------------------------------------

  #reset(): void {
    this.#listensFrom = this.#time.now() + BLINKS_MS;
    this.#heardAt = this.#listensFrom;
    this.#hasLeft = this.#options.silent ?? false;
    this.#waiting = [];
    this.#run = this.#commands();
    this.#run.next();
    this.#time.after(BLINKS_MS, () => this.#take(this.#waiting.splice(0)));
  }

  #arrive(bytes: Uint8Array): void {
    if (this.pulled || !this.isOpen) return;
    if (this.#baudRate !== (this.#options.baudRate ?? 115_200)) this.#hasLeft = true;
    if (this.#time.now() >= this.#listensFrom) this.#take(bytes);
    else this.#waiting = [...this.#waiting, ...bytes].slice(0, 2);
  }

  #take(bytes: ArrayLike<number>): void {
    const now = this.#time.now();
    if (now < this.#listensFrom) return;
    if (now - this.#heardAt > PATIENCE_MS) this.#hasLeft = true;
    for (const byte of Array.from(bytes)) {
      if (this.#hasLeft) return;
      this.#heardAt = now;
      if (this.#run!.next(byte).done) this.#hasLeft = true;
    }
    const answer = Uint8Array.from(this.#answer.splice(0));
    if (answer.length === 0) return;
    const pieces = this.#options.toPage?.(answer) ?? [{ bytes: answer, after: LATENCY_MS }];
    const opening = this.openings.length;
    for (const piece of pieces) {
      this.#time.after(piece.after, () => {
        // What comes for a port that was closed meanwhile is lost.
        if (this.pulled || this.openings.length !== opening || piece.bytes.length === 0) return;
        this.say(piece.bytes);
      });
    }
  }

  /** Ends where the real one lets its watchdog reset the chip. */
  *#commands(): Generator<void, void, number> {
    const say = (...bytes: readonly number[]) => this.#answer.push(...bytes);
    let address = 0;
    for (;;) {
      const command = yield;
      if (command === 0x55) {
        const low = yield;
        address = 2 * ((low | ((yield) << 8)) & 0x7fff);
        if ((yield) !== 0x20) return;
        say(0x14);
      } else if (command === 0x64) {
        yield;
        const length = yield;
        yield;
        const page: number[] = [];
        for (let i = 0; i < (length || 256); i++) page.push(yield);
        if ((yield) !== 0x20) return;
        say(0x14);
        this.#writePage(address, page);
      } else if (command === 0x74) {
        yield;
        const length = yield;
        yield;
        if ((yield) !== 0x20) return;
        say(0x14);
        for (let i = 0; i < (length || 256); i++) say(this.flash[address++ % FLASH_BYTES]!);
      } else if (command === 0x75) {
        if ((yield) !== 0x20) return;
        say(0x14, ...(this.#options.signature ?? [0x1e, 0x95, 0x0f]));
      } else if (command === 0x51) {
        if ((yield) !== 0x20) return;
        this.#hasLeft = true;
        say(0x14);
      } else {
        const extra = { 65: 1, 66: 20, 69: 5, 86: 4 }[command] ?? 0;
        for (let i = 0; i < extra; i++) yield;
        if ((yield) !== 0x20) return;
        say(0x14);
      }
      say(0x10);
    }
  }

  #writePage(address: number, bytes: readonly number[]): void {
    const page = address & ~0x7f & (FLASH_BYTES - 1);
    if (page >= this.start) {
      this.writesToBootLoader.push(page);
      return; // its lock bits forbid it
    }
    this.pagesWritten++;
    for (let i = 0; i < 128; i++) {
      this.flash[page + i] = (bytes[i] ?? 0xff) & ~(this.#options.stuck?.get(page + i) ?? 0);
    }
  }
}
