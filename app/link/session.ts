import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { type Edge, type Hello, type Message, PROTOCOL_VERSION } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { BoardCommands, type UntaggedCommand } from './board-commands.ts';
import { ClockCheck } from './clock-check.ts';
import { type BoardPort, PortError } from './port.ts';
import { lostSentence, type RefusedReason, type SessionState } from './session-state.ts';
import type { StreamEvent } from './stream.ts';
import { StreamAssembler } from './stream-assembler.ts';

/** Nothing is written during a bootloader's first second: it might take a command for its own. */
const QUIET_START_MS = 1000;
const ASK_EVERY_MS = 250;
const GIVE_UP_MS = 4000;
const WATCH_EVERY_MS = 500;
/** Looks without a byte before the board counts as silent. Looks, not time: a page that was frozen has not listened. */
const SILENT_LOOKS = 4;

export interface LineCounts {
  readonly damaged: number;
  readonly faults: number;
  /** All gaps in the stream, whatever made them. */
  readonly gaps: number;
  /** Gaps in the stream that nobody reported as damage: frames or conversions that are missing. */
  readonly lost: number;
}

export interface SessionListeners {
  state(state: SessionState): void;
  event(event: StreamEvent): void;
  /** Raw bytes as they came, for a recording. */
  bytes?(bytes: Uint8Array, at: number): void;
}

/**
 * One connection to one board, from opening to its end. It owns the port's reader; a new connection takes
 * a new session with a new decoder.
 */
export class Session {
  #port: BoardPort;
  #listeners: SessionListeners;
  #state: SessionState = { phase: 'idle' };
  #reader = new MessageReader();
  #assembler: StreamAssembler | null = null;
  #clock: ClockCheck | null = null;
  /** When the bytes being read had come. */
  #arrival = 0;
  #heard = false;
  #ended = false;
  readonly #commands: BoardCommands;
  #helloWaiters: Array<(hello: Hello | null) => void> = [];
  /** Introductions asked for and not yet heard: one more than that means the board was reset. */
  #asked = 0;
  /** By input, what the board said of it last: it tells a contact that stands closed once, perhaps before the stream. */
  #inputs = new Map<Edge['input'], Edge>();
  #looks = 0;
  #watch: ReturnType<typeof setInterval> | null = null;
  #faults = 0;
  #gaps = 0;
  #lost = 0;
  #damaged = 0;

  constructor(port: BoardPort, listeners: SessionListeners) {
    this.#port = port;
    this.#listeners = listeners;
    this.#commands = new BoardCommands(port, () => this.#ended);
  }

  get state(): SessionState {
    return this.#state;
  }

  get counts(): LineCounts {
    return {
      damaged: this.#damaged,
      faults: this.#faults,
      gaps: this.#gaps,
      lost: this.#lost,
    };
  }

  /** The board's clock against the computer's, begun anew with each introduction; null before the first. */
  get clock(): ClockCheck | null {
    return this.#clock;
  }

  /** Opens the port, waits for the introduction, starts the stream. The outcome is told by the state. */
  async open(): Promise<void> {
    this.#to({ phase: 'opening' });
    try {
      await this.#port.open();
    } catch (error) {
      this.#refuse('could not open', error instanceof PortError ? error.message : String(error));
      return;
    }
    this.#to({ phase: 'greeting' });
    void this.#readLoop();
    this.#watch = setInterval(() => this.#look(), WATCH_EVERY_MS);
    await this.#greet();
  }

  /**
   * Sends a command and waits for its answer; commands go out one at a time.
   * @throws PortError when the board does not answer or refuses.
   */
  command(command: UntaggedCommand): Promise<void> {
    return this.#commands.send(command);
  }

  async close(): Promise<void> {
    this.#end({ phase: 'lost', reason: 'closed', sentence: 'The connection was closed.' });
    await this.#port.close();
  }

  async #greet(): Promise<void> {
    const begun = performance.now();
    const hello = await new Promise<Hello | null>((resolve) => {
      const ask = () => {
        if (this.#ended) return settle(null);
        const waited = performance.now() - begun;
        if (waited > GIVE_UP_MS) return settle(null);
        // A good frame means the firmware runs already and no bootloader is listening.
        if (this.#heard || waited >= QUIET_START_MS) {
          this.#asked++;
          void this.#port.write(encodeCommand({ type: 'hello', tag: 0 })).catch(() => undefined);
        }
      };
      const timer = setInterval(ask, ASK_EVERY_MS);
      const settle = (h: Hello | null) => {
        clearInterval(timer);
        this.#helloWaiters = this.#helloWaiters.filter((w) => w !== settle);
        resolve(h);
      };
      this.#helloWaiters.push(settle);
    });
    if (this.#ended) return;
    if (!hello) {
      this.#refuse(
        'no introduction',
        'Nothing on this port introduced itself as a tester within 4 seconds. Is it the right port, and does the board carry the Leafclock firmware?',
      );
      return;
    }
    if (hello.protocol !== PROTOCOL_VERSION) {
      this.#refuse(
        'wrong protocol',
        `The board speaks version ${hello.protocol} of the protocol, this page speaks version ${PROTOCOL_VERSION}. ` +
          (hello.protocol > PROTOCOL_VERSION
            ? 'Reload the page to get a newer one.'
            : 'Put the present firmware on the board.'),
      );
      return;
    }
    this.#clock = new ClockCheck(hello);
    this.#assembler = new StreamAssembler(hello, (event) => this.#event(event));
    this.#assembler.restart('restarted');
    try {
      if (this.#port.kind !== 'recording') {
        await this.command({ type: 'stop' });
        // A board that times edges has room on the line for all of its channels.
        await this.command({ type: 'channels', mask: hello.kind === 'samples' ? 1 : hello.channels });
        this.#assembler.restart('restarted');
        await this.command({ type: 'start' });
      }
    } catch (error) {
      if (!this.#ended) this.#refuse('start refused', (error as Error).message);
      return;
    }
    this.#to({ phase: 'live', hello, status: null });
    for (const edge of this.#inputs.values()) this.#assembler.edge(edge);
  }

  async #readLoop(): Promise<void> {
    for (;;) {
      const read = await this.#port.read();
      this.#looks = 0;
      if (read.kind === 'bytes') {
        this.#arrival = read.at;
        this.#listeners.bytes?.(read.bytes, read.at);
        this.#reader.push(
          read.bytes,
          (message) => this.#message(message),
          () => {
            this.#damaged++;
            this.#assembler?.damaged();
          },
          (unknown) => this.#assembler?.skipped(unknown.sequence),
        );
        if (this.#state.phase === 'lost' && this.#state.reason === 'silent') this.#again('silence');
      } else if (read.kind === 'fault') {
        this.#faults++;
        this.#assembler?.gap('read error');
      } else {
        this.#assembler?.gap('disconnected');
        this.#end({ phase: 'lost', reason: read.cause, sentence: lostSentence[read.cause] });
        if (read.cause !== 'closed') await this.#port.close();
        return;
      }
    }
  }

  #event(event: StreamEvent): void {
    if (event.kind === 'gap') {
      this.#gaps++;
      if (event.cause === 'missing' || event.cause === 'overrun') this.#lost++;
      // The board may have been reset, or its ticks may have wrapped unseen.
      if (event.cause === 'restarted' || event.cause === 'silence') this.#clock?.restart();
    } else if (event.kind === 'run') {
      // A block is sent as soon as its last sample is there.
      const last = event.firstTick + (event.values.length - 1) * event.ticksPerSample;
      this.#clock?.add(ticks(last), this.#arrival);
    }
    this.#listeners.event(event);
  }

  #message(message: Message): void {
    this.#heard = true;
    if (message.type === 'hello') {
      const asked = this.#asked > 0;
      if (asked) this.#asked--;
      if (this.#helloWaiters.length > 0) for (const waiter of [...this.#helloWaiters]) waiter(message);
      else if (this.#state.phase === 'live' && !asked) this.#again('restarted');
      else this.#assembler?.message(message);
      return;
    }
    if (message.type === 'edge') this.#inputs.set(message.input, message);
    if (message.type === 'reply') this.#commands.take(message);
    this.#assembler?.message(message);
    if (message.type !== 'status' || this.#state.phase !== 'live') return;
    // A board that times edges has nothing else that comes steadily.
    if (this.#state.hello.kind === 'edges') this.#clock?.add(this.#assembler!.latestTick!, this.#arrival);
    // A board that was reset has forgotten that it was streaming.
    if (!message.streaming && this.#port.kind !== 'recording') this.#again('restarted');
    else this.#to({ ...this.#state, status: message });
  }

  /** Greets anew a board that was reset, or one that was silent and may have been. */
  #again(cause: 'restarted' | 'silence'): void {
    this.#assembler?.restart(cause);
    this.#inputs.clear();
    if (this.#port.kind === 'recording') return;
    this.#to({ phase: 'greeting' });
    void this.#greet();
  }

  #look(): void {
    if (this.#state.phase !== 'live') return;
    this.#looks++;
    if (this.#looks < SILENT_LOOKS) return;
    this.#assembler?.gap('silence');
    this.#settleAll();
    this.#to({ phase: 'lost', reason: 'silent', sentence: lostSentence.silent });
  }

  #refuse(reason: RefusedReason, sentence: string): void {
    this.#end({ phase: 'refused', reason, sentence });
    void this.#port.close();
  }

  #end(state: SessionState): void {
    if (this.#ended) return;
    this.#ended = true;
    if (this.#watch !== null) clearInterval(this.#watch);
    this.#settleAll();
    this.#to(state);
  }

  #settleAll(): void {
    this.#commands.giveUp();
    for (const waiter of [...this.#helloWaiters]) waiter(null);
  }

  #to(state: SessionState): void {
    this.#state = state;
    this.#listeners.state(state);
  }
}
