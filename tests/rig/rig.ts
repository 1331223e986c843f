/**
 * The test rig: a real Chromium whose own navigator.serial talks to pseudo-terminals, and at their far
 * end either the test itself (plugPort) or an emulated board (board.ts). No JavaScript in the page is
 * replaced by a double.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Board, type BoardOptions } from './board.ts';
import { Browser } from './browser.ts';
import { buildCParts, type CParts } from './c-parts.ts';
import { type PageServer, serveFolder } from './page-server.ts';
import { type PortIdentity, PortList, UNO } from './port-list.ts';
import { SerialLine } from './serial-line.ts';

const BUILT_PAGE = path.join(import.meta.dirname, '../../build/page');

interface LaunchOptions {
  readonly profile?: string;
  readonly granted?: readonly PortIdentity[];
  readonly asOnADesk?: boolean;
  /**
   * The page's setting as long as nobody has chosen one. 'normal' when left out: on a busy machine the emulated board
   * may fall behind at the fast rate, and the page would rightly change the rate in the middle of a test.
   */
  readonly rate?: 'automatic' | 'normal';
}

/** Runs in the page, before its own code. */
function askForNormalRate(): void {
  const key = 'leafclock.sampling-rate';
  try {
    if (localStorage.getItem(key) === null) localStorage.setItem(key, 'normal');
  } catch {
    // An empty page has no storage.
  }
}

/** A port whose far end the test holds in its own hands. */
export interface RigPort {
  readonly line: SerialLine;
  /** The line goes dead but the port stays listed. */
  hangUp(): Promise<void>;
  /** The cable is pulled: the line goes dead, then the port vanishes. */
  unplug(): Promise<void>;
}

export class Rig {
  /** Temporary; gone after close(). */
  readonly directory = fs.mkdtempSync(path.join(os.tmpdir(), 'leafclock-rig-'));
  /** Nothing leaves the page's own origin: close() fails otherwise, unless a test is about just that. */
  mayGoElsewhere = false;
  readonly ports = new PortList(path.join(this.directory, 'ports'));
  #built: CParts | null = null;
  readonly #modemLines = path.join(this.directory, 'modem-lines');
  readonly #calendar = path.join(this.directory, 'calendar');
  /** What close() undoes, latest first. */
  readonly #undo: (() => Promise<void>)[] = [];
  readonly #removeDirectory = () =>
    fs.rmSync(this.directory, { recursive: true, force: true, maxRetries: 5 });

  constructor() {
    this.leadCalendar(0);
    process.once('exit', this.#removeDirectory); // also when a test run dies before close()
  }

  /** Serves the built page, or another folder that has an index.html; port 0 is any free one. */
  async servePage(folder = BUILT_PAGE, port = 0): Promise<PageServer> {
    return this.#keep(await serveFolder(folder, port), (server) => server.close());
  }

  /** Launches Chromium with leave to use the ports. Give a profile used before to find its storage again. */
  async launch(
    origin: string,
    { profile = this.newProfile(), granted = [UNO], asOnADesk = false, rate = 'normal' }: LaunchOptions = {},
  ): Promise<Browser> {
    const onLinux = process.platform === 'linux'; // elsewhere the page can still be tested without ports
    const environment = onLinux
      ? {
          LD_LIBRARY_PATH: this.#cParts().libraries,
          LEAFCLOCK_PORTS: this.ports.directory,
          LEAFCLOCK_MODEM_LINES: this.#modemLines,
          LEAFCLOCK_CALENDAR: this.#calendar,
        }
      : {};
    const browser = await Browser.launch({ profile, origin, granted, environment, asOnADesk });
    if (rate === 'normal') await browser.context.addInitScript(askForNormalRate);
    return this.#keep(browser, async (launched) => {
      await launched.close();
      if (launched.foreignRequests.length > 0 && !this.mayGoElsewhere)
        throw new Error(`The page asked for what is not its own: ${launched.foreignRequests.join(', ')}`);
    });
  }

  newProfile(): string {
    return fs.mkdtempSync(path.join(this.directory, 'profile-'));
  }

  /** Plugs in a port; the test reads and writes its far end. */
  async plugPort(identity = UNO): Promise<RigPort> {
    const device = this.#device(identity);
    const line = await SerialLine.create(this.#cParts().bridge, device);
    this.ports.add(identity, device);
    const port: RigPort = {
      line,
      hangUp: () => line.hangUp(),
      unplug: async () => {
        await line.hangUp();
        this.ports.remove(identity);
      },
    };
    return this.#keep(port, (plugged) => plugged.unplug());
  }

  /** Starts an emulated board in a process of its own; board.plug() connects it. */
  async startBoard(options: BoardOptions = {}): Promise<Board> {
    const identity = options.identity ?? UNO;
    const device = this.#device(identity);
    const cable = {
      bridge: this.#cParts().bridge,
      device,
      modemLines: this.#modemLines,
      appear: () => this.ports.add(identity, device),
      vanish: () => this.ports.remove(identity),
    };
    return this.#keep(await Board.start(cable, options), (board) => board.stop());
  }

  /** Another program opens the port for itself alone; the function that is answered ends it. */
  async holdPort(identity = UNO): Promise<() => Promise<void>> {
    // What Chromium asks of a port that it opens, the stand-in libudev turns into this lock.
    const holder = spawn('flock', ['-x', this.#device(identity), 'sh', '-c', 'echo held; exec cat'], {
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    const ended = once(holder, 'exit');
    const [word] = await Promise.race([once(holder.stdout, 'data'), ended]);
    if (String(word) !== 'held\n') throw new Error('The port could not be taken for another program');
    return async () => {
      holder.stdin.end();
      await ended;
    };
  }

  /** The browser's calendar is so many seconds ahead of the machine's; its monotonic clock is not. */
  leadCalendar(seconds: number): void {
    const lead = new BigInt64Array([BigInt(seconds)]);
    // In place: the browser's processes look at this very file.
    fs.writeFileSync(this.#calendar, lead, { flag: fs.existsSync(this.#calendar) ? 'r+' : 'w' });
  }

  /** Modem-line changes so far: 'DTR=1 RTS=1', oldest first. */
  modemLines(): string[] {
    if (!fs.existsSync(this.#modemLines)) return [];
    return fs.readFileSync(this.#modemLines, 'utf8').trimEnd().split('\n');
  }

  /** Ends everything the rig has started. Safe after a failure half-way. */
  async close(): Promise<void> {
    const failures: unknown[] = [];
    for (let undo = this.#undo.pop(); undo; undo = this.#undo.pop()) {
      await undo().catch((error: unknown) => failures.push(error));
    }
    this.#removeDirectory();
    process.off('exit', this.#removeDirectory);
    if (failures.length > 0) throw new AggregateError(failures, 'The rig could not end all that it started');
  }

  #cParts(): CParts {
    this.#built ??= buildCParts();
    return this.#built;
  }

  #device(identity: PortIdentity): string {
    return path.join(this.directory, identity.name);
  }

  #keep<Part>(part: Part, end: (part: Part) => Promise<void>): Part {
    this.#undo.push(() => end(part));
    return part;
  }
}
