import { type ChildProcess, fork } from 'node:child_process';
import { EventEmitter, once } from 'node:events';
import path from 'node:path';
import type { ResetCause } from '../../app/practice/board.ts';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import type { LightLevels } from '../../app/practice/light.ts';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type {
  BoardSettings,
  LineDamageReport,
  LineState,
  NumberedOrder,
  Order,
  Report,
} from './board-orders.ts';
import { type BootLoaderName, bootLoader as builtBootLoader } from './board-programs.ts';
import type { DamageOptions } from './line-damage.ts';
import type { PortIdentity } from './port-list.ts';

const FIRMWARE = path.join(import.meta.dirname, '../../firmware-protocol/atmega328p/tester.hex');

/** From a reset to the first instruction, in ms, by the fuses that the boot loaders' makefiles set (data sheet 9, SUT). */
const START_UP = 65;

export interface BoardOptions {
  readonly identity?: PortIdentity;
  /** Intel HEX file, null for a bare board; the committed firmware when left out. */
  readonly image?: string | null;
  /** The board starts in it at every reset, and takes new firmware through it; none when left out. */
  readonly bootLoader?: BootLoaderName;
  readonly seed?: number;
  /** Emulated seconds for each real one; 1 when left out. */
  readonly pace?: number;
  /** From opening the port to the firmware's start, in ms; 500 when left out, and 65 to the start of a boot loader. */
  readonly bootTime?: number;
}

/** The rig's side of the cable. */
interface Cable {
  readonly bridge: string;
  readonly device: string;
  readonly modemLines: string;
  readonly appear: () => void;
  readonly vanish: () => void;
}

/** What a board's flash holds. */
export interface ProgramMemory {
  readonly bytes: Uint8Array;
  /** Pages of the boot loader that were to be overwritten; its lock bits forbid it. */
  readonly bootLoaderWrites: number;
}

interface Answer {
  readonly resolve: (outcome: TrueFiring | ProgramMemory | null) => void;
  readonly reject: (error: Error) => void;
}

interface BoardEvents {
  fired: [TrueFiring];
  line: [LineState];
}

/** An emulated board with its practice shutter, in a process of its own, seen from a test. */
export class Board extends EventEmitter<BoardEvents> {
  /** Every firing that has come to an end, oldest first, as it really was. */
  readonly firings: TrueFiring[] = [];
  /** Every damage done on the line so far. */
  readonly damages: LineDamageReport[] = [];
  /** When the last light of the latest firing went, by process.hrtime, in ms (board-orders.ts). */
  lastLightAt = Number.NaN;
  line: LineState = { isOpen: false, speed: 0, dropped: 0, atWrongSpeed: 0 };
  readonly #process: ChildProcess;
  readonly #cable: Cable;
  readonly #pending = new Map<number, Answer>();
  #nextId = 1;

  private constructor(cable: Cable, child: ChildProcess) {
    super();
    this.#cable = cable;
    this.#process = child;
    child.on('message', (report: Report) => this.#hear(report));
    child.on('exit', (code, signal) => {
      for (const { reject } of this.#pending.values()) {
        reject(new Error(`The board's process ended (${signal ?? code}); its own words are above`));
      }
      this.#pending.clear();
    });
  }

  static async start(cable: Cable, options: BoardOptions): Promise<Board> {
    const { image = FIRMWARE, seed = 1, pace = 1, bootLoader } = options;
    const { bootTime = bootLoader ? START_UP : 500 } = options;
    const settings: BoardSettings = {
      bridge: cable.bridge,
      device: cable.device,
      modemLines: cable.modemLines,
      image,
      bootLoader: bootLoader ? builtBootLoader(bootLoader) : null,
      seed,
      pace,
      bootTime,
    };
    const program = path.join(import.meta.dirname, 'board-process.ts');
    const child = fork(program, [JSON.stringify(settings)], {
      execArgv: ['--import', 'tsx'],
      serialization: 'advanced', // times may be infinite, which JSON can't say
    });
    const board = new Board(cable, child);
    await new Promise<void>((resolve, reject) => {
      child.once('message', () => resolve());
      child.once('exit', (code) => reject(new Error(`The board's process ended at once (${code})`)));
    });
    return board;
  }

  // Cable ------------------------------------------------------------------------------------------

  /** Connects the board: the line is there, then the browser sees the port. */
  async plug(): Promise<void> {
    await this.#tell({ order: 'plug' });
    this.#cable.appear();
  }

  /** The line goes dead but the port stays listed. */
  async hangUp(): Promise<void> {
    await this.#tell({ order: 'hang up' });
  }

  /** The cable is pulled: the line goes dead, then the port vanishes. A firing under way goes on unseen. */
  async unplug(): Promise<void> {
    await this.hangUp();
    this.#cable.vanish();
  }

  /** The reset button, or a supply that sagged. */
  async reset(cause: ResetCause = 'external'): Promise<void> {
    await this.#tell({ order: 'reset', cause });
  }

  /** The board goes on, but nothing that it says comes out. */
  async mute(on: boolean): Promise<void> {
    await this.#tell({ order: 'mute', on });
  }

  /** What the page writes stays unfinished. */
  async holdUp(on: boolean): Promise<void> {
    await this.#tell({ order: 'hold up', on });
  }

  /** From now on the line damages bytes; null ends it. */
  async damage(toPage: DamageOptions | null, toBoard: DamageOptions | null = null): Promise<void> {
    await this.#tell({ order: 'damage', toPage, toBoard });
  }

  // Shutter ----------------------------------------------------------------------------------------

  async setDial(mark: string): Promise<void> {
    await this.#tell({ order: 'dial', mark });
  }

  async setCondition(condition: ShutterCondition): Promise<void> {
    await this.#tell({ order: 'condition', condition });
  }

  async turnGovernor(quarterTurns: number): Promise<void> {
    await this.#tell({ order: 'governor', quarterTurns });
  }

  async setLight(levels: LightLevels): Promise<void> {
    await this.#tell({ order: 'light', levels });
  }

  /** Fires and waits for the end: what really happened. Rejects when the shutter is not at rest. */
  async fire(): Promise<TrueFiring> {
    return (await this.#tell({ order: 'fire' })) as TrueFiring;
  }

  /** Holds the blades open by hand for so many seconds and waits for the end. */
  async holdOpen(seconds: number): Promise<TrueFiring> {
    return (await this.#tell({ order: 'hold open', seconds })) as TrueFiring;
  }

  /** Presses the release and doesn't wait. At B the blades stay open until letGo(). */
  async press(): Promise<void> {
    await this.#tell({ order: 'press' });
  }

  async letGo(): Promise<void> {
    await this.#tell({ order: 'let go' });
  }

  async freeBlades(): Promise<void> {
    await this.#tell({ order: 'free blades' });
  }

  // ------------------------------------------------------------------------------------------------

  /** Program memory as it stands now. */
  async readProgram(): Promise<ProgramMemory> {
    return (await this.#tell({ order: 'read program' })) as ProgramMemory;
  }

  /** Ends the process. */
  async stop(): Promise<void> {
    this.#cable.vanish();
    if (this.#process.exitCode !== null || this.#process.signalCode !== null) return;
    const ended = once(this.#process, 'exit');
    this.#process.kill();
    await ended;
  }

  #tell(order: Order): Promise<TrueFiring | ProgramMemory | null> {
    const numbered: NumberedOrder = { id: this.#nextId++, order };
    return new Promise((resolve, reject) => {
      this.#pending.set(numbered.id, { resolve, reject });
      this.#process.send(numbered, (error) => error && reject(error));
    });
  }

  #hear(report: Report): void {
    switch (report.report) {
      case 'started':
        return;
      case 'fired':
        this.lastLightAt = report.lastLightAt;
        this.firings.push(report.firing);
        this.emit('fired', report.firing);
        return;
      case 'damaged':
        this.damages.push(...report.damages);
        return;
      case 'line':
        this.line = report.state;
        this.emit('line', report.state);
        return;
      case 'done':
        this.#take(report.id)?.resolve(report.firing);
        return;
      case 'program':
        this.#take(report.id)?.resolve(report);
        return;
      case 'refused':
        this.#take(report.id)?.reject(new Error(report.reason));
    }
  }

  #take(id: number): Answer | undefined {
    const answer = this.#pending.get(id);
    this.#pending.delete(id);
    return answer;
  }
}
