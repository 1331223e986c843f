import { type ChildProcess, spawn } from 'node:child_process';
import { EventEmitter, once } from 'node:events';
import { createInterface } from 'node:readline';
import type { Readable, Writable } from 'node:stream';

interface LineEvents {
  /** Bytes that the page wrote. */
  bytes: [Uint8Array];
  opened: [];
  closed: [];
  /** The page set this many baud. */
  speed: [number];
  /** The line was full: so many bytes are lost by now. */
  dropped: [number];
  hungUp: [];
}

/** The board's end of one serial line whose other end is a pseudo-terminal that a browser can open. */
export class SerialLine extends EventEmitter<LineEvents> {
  /** Baud the page has set, 0 while the port is closed. */
  speed = 0;
  isOpen = false;
  /** Bytes lost because the line was full: nobody read at the other end. */
  dropped = 0;
  readonly #bridge: ChildProcess;
  readonly #ended: Promise<unknown>;

  private constructor(bridge: ChildProcess) {
    super();
    this.#bridge = bridge;
    this.#ended = once(bridge, 'exit').then(() => {
      this.isOpen = false;
      this.emit('hungUp');
    });
    bridge.stdin?.on('error', () => {}); // written after the bridge has gone: lost, as on a pulled cable
    bridge.stdout?.on('data', (bytes: Buffer) => this.emit('bytes', new Uint8Array(bytes)));
  }

  /** Creates the line; `link` becomes a symbolic link to the end that the browser opens. */
  static async create(bridgeProgram: string, link: string): Promise<SerialLine> {
    const bridge = spawn(bridgeProgram, [link], { stdio: ['pipe', 'pipe', 'inherit', 'pipe'] });
    const line = new SerialLine(bridge);
    const news = createInterface({ input: bridge.stdio[3] as Readable });
    const ready = new Promise<void>((resolve, reject) => {
      bridge.once('error', reject);
      bridge.once('exit', () => reject(new Error(`${bridgeProgram} ended before the line was ready`)));
      news.on('line', (text) => (text === 'ready' ? resolve() : line.#hear(text)));
    });
    await ready;
    return line;
  }

  /** Sends bytes to the page. Nobody listening or no room means that they are lost. */
  write(bytes: Uint8Array): void {
    (this.#bridge.stdin as Writable).write(bytes);
  }

  /** From now on what the page writes goes nowhere and stays unfinished, until it is let go on. */
  holdUp(stop: boolean): void {
    this.#bridge.kill(stop ? 'SIGUSR1' : 'SIGUSR2');
  }

  /** Ends the line. To the browser this is a cable that went dead, not yet a port that went away. */
  async hangUp(): Promise<void> {
    this.#bridge.stdin?.end();
    await this.#ended;
  }

  #hear(text: string): void {
    const [event, number] = text.split(' ');
    if (event === 'opened') {
      this.isOpen = true;
      this.emit('opened');
    } else if (event === 'closed') {
      this.isOpen = false;
      this.speed = 0;
      this.emit('closed');
    } else if (event === 'speed') {
      this.speed = Number(number);
      this.emit('speed', this.speed);
    } else if (event === 'dropped') {
      this.dropped = Number(number);
      this.emit('dropped', this.dropped);
    }
  }
}
