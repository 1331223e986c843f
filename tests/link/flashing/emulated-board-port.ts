import { type BoardPort, PortError, type PortRead } from '../../../app/link/port.ts';
import { ReadQueue } from '../../../app/link/read-queue.ts';
import { CLOCK_HZ, EmulatedBoard } from '../../../app/practice/board.ts';
import { type BootLoaderName, bootLoader } from '../../rig/board-programs.ts';
import type { Lives, VirtualTime } from './virtual-time.ts';

const CYCLES_PER_MS = CLOCK_HZ / 1000;
const RESET_PULSE_MS = 250;
/** From a reset to the first instruction: 65 ms, by the fuses that the boot loaders' makefiles set (SUT, table 9-4). */
const START_UP_MS = 65;

export interface EmulatedPortOptions {
  readonly bootLoader: BootLoaderName;
  /** Intel HEX text of what the board holds; nothing when left out. */
  readonly application?: string;
  /** No modem lines: it is reset by opening only. */
  readonly withoutPulse?: boolean;
  /** From the page to the chip, in ms: a USB bridge's. */
  readonly latency?: number;
  readonly locked?: boolean;
  /** What becomes of bytes on the line. */
  readonly toPage?: (bytes: Uint8Array) => Uint8Array;
  readonly toBoard?: (bytes: Uint8Array) => Uint8Array;
}

/** A whole emulated board behind the interface of a port, in virtual time. */
export class EmulatedBoardPort implements BoardPort, Lives {
  readonly kind = 'serial';
  readonly board: EmulatedBoard;
  readonly bootLoaderStart: number;
  /** Byte addresses in the boot loader's section that SPM was told to write. */
  readonly writesToBootLoader: number[] = [];
  /** All that the page wrote. */
  readonly written: Uint8Array[] = [];
  readonly openings: number[] = [];
  readonly pulseReset?: () => Promise<void>;
  isOpen = false;
  pulled = false;
  readonly #time: VirtualTime;
  readonly #options: EmulatedPortOptions;
  readonly #queue = new ReadQueue();
  #baudRate = 0;
  /** Time and cycle at which the chip last began to run. */
  #since = { time: 0, cycle: 0 };

  constructor(time: VirtualTime, options: EmulatedPortOptions) {
    const { application, locked, withoutPulse } = options;
    const { image, start } = bootLoader(options.bootLoader);
    this.bootLoaderStart = start;
    this.#time = time;
    this.#options = options;
    this.board = new EmulatedBoard({
      image: application ?? new Uint16Array(0x4000).fill(0xffff),
      light: () => 0,
      bootLoader: {
        image,
        start,
        onWriteToSection: (address) => this.writesToBootLoader.push(address),
        ...(locked === undefined ? {} : { locked }),
      },
    });
    if (!withoutPulse) {
      this.pulseReset = async () => {
        this.#checkThere();
        await time.sleep(RESET_PULSE_MS);
        this.#checkThere();
        this.reset();
      };
    }
  }

  /** Program memory as bytes. */
  get flash(): Uint8Array {
    return new Uint8Array(this.board.program.buffer);
  }

  /** The reset button. */
  reset(): void {
    this.board.reset('external');
    this.#since = { time: this.#time.now() + START_UP_MS, cycle: this.board.cycle };
  }

  /** The cable is pulled, and the power with it. */
  pull(): void {
    this.pulled = true;
    this.#queue.put({ kind: 'ended', cause: 'disconnected' });
  }

  plugIn(): void {
    this.pulled = false;
    this.board.reset('power on');
    this.#since = { time: this.#time.now() + START_UP_MS, cycle: this.board.cycle };
  }

  // The port ---------------------------------------------------------------------------------------

  async open(baudRate = 500_000): Promise<void> {
    if (this.pulled) throw new PortError('gone', 'The board is no longer there.');
    if (this.isOpen) throw new PortError('busy', 'The port is open.');
    this.#queue.clear();
    this.isOpen = true;
    this.#baudRate = baudRate;
    this.openings.push(baudRate);
    this.reset();
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    this.#checkThere();
    this.written.push(bytes);
    const passed = this.#options.toBoard?.(bytes) ?? bytes;
    this.#time.after(this.#options.latency ?? 2, () => {
      if (this.pulled || this.#time.now() < this.#since.time) return; // nobody is up to hear it
      this.board.receive(passed, this.#baudRate);
    });
  }

  async close(): Promise<void> {
    this.isOpen = false;
    this.#queue.put({ kind: 'ended', cause: 'closed' });
  }

  #checkThere(): void {
    if (this.pulled || !this.isOpen) throw new PortError('gone', 'The board is no longer there.');
  }

  // Time -------------------------------------------------------------------------------------------

  get isAwake(): boolean {
    return !this.pulled;
  }

  liveTo(time: number): void {
    if (this.pulled) return;
    this.board.run(this.#since.cycle + Math.max(0, time - this.#since.time) * CYCLES_PER_MS);
    const sent = this.board.takeBytes(this.#baudRate || undefined);
    if (sent.length === 0 || !this.isOpen) return;
    const bytes = this.#options.toPage?.(sent) ?? sent;
    if (bytes.length > 0) this.#queue.put({ kind: 'bytes', bytes, at: time });
  }
}
