import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { BAUD_RATES, type LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Hello, Message } from '../../firmware-protocol/messages.ts';
import { BoardCommands, type UntaggedCommand } from './board-commands.ts';
import { BoardResets, keepsResetting, type ResetWords } from './board-resets.ts';
import type { ClockCheck } from './clock-check.ts';
import { Heard, type Verdict } from './heard.ts';
import { ASK_EVERY_MS, Introduction, objectionTo } from './introduction.ts';
import { type LineCounts, NOTHING_COUNTED } from './line-tally.ts';
import { closeInTime, openInTime } from './open-and-close.ts';
import type { BoardPort } from './port.ts';
import { readPort } from './port-reading.ts';
import { notFast, RateTrial, trialFailure } from './rate-trial.ts';
import { lostSentence, type SessionState, tooMuch } from './session-state.ts';
import { SessionStream } from './session-stream.ts';
import { SleepWatch } from './sleep-watch.ts';
import { SteadyLooks } from './steady-looks.ts';
import type { GapCause, StreamEvent } from './stream.ts';

/** Looks without an introduction, one each 250 ms, before a session is given up: 4 s, and 3 s at the fast rate. */
const GREETING_LOOKS: Readonly<Record<LineRate, number>> = { normal: 16, fast: 12 };
/** An emulated board may be slower than a real one, but it is there: 20 s. */
const PRACTICE_LOOKS = 80;
const WATCH_EVERY_MS = 500;
/**
 * Looks without a message before the board counts as silent, and as not readable where bytes come. Looks, not
 * time: a page that was frozen has not listened.
 */
const SILENT_LOOKS = 4;
const UNREADABLE_LOOKS = 3;

const beginAnew =
  'Unplug the board, plug it in again, and connect again if the page does not do so by itself.';

export interface SessionListeners {
  state(state: SessionState): void;
  event(event: StreamEvent): void;
  /** Raw bytes as they came, for a recording. */
  bytes?(bytes: Uint8Array, at: number): void;
  /** The board was reset, or was so before it introduced itself, and there is something to say about it. */
  reset?(words: ResetWords): void;
}

export interface SessionOptions {
  /** Speed of the line, and with it the board's sampling rate; normal when left out. */
  readonly rate?: LineRate;
  /** What was counted already on this line, by a session before. */
  readonly counts?: LineCounts;
}

/**
 * One connection to one board, from opening to its end. It owns the port's reader; a new connection takes
 * a new session with a new decoder.
 *
 * At the fast rate the board has to pass a trial before the session is live: a stream of half a second without a gap.
 */
export class Session {
  readonly rate: LineRate;
  readonly #port: BoardPort;
  readonly #listeners: SessionListeners;
  readonly #commands: BoardCommands;
  readonly #stream: SessionStream;
  readonly #resets = new BoardResets();
  readonly #reader = new MessageReader();
  #state: SessionState = { phase: 'idle' };
  /** The introduction in force; null before the first. */
  #hello: Hello | null = null;
  #sleep = new SleepWatch(performance.now(), Date.now());
  /** A good frame has come: the firmware runs, and no bootloader is listening. */
  #heard = false;
  #heardWhileGreeting = new Heard();
  #wasLive = false;
  #ended = false;
  #introduction: Introduction | null = null;
  /** Raised by each greeting: one that was overtaken by a reset does nothing any more. */
  #greeting = 0;
  /** Number of the next message, if none is lost before it. */
  #nextSequence = 0;
  /** Introductions asked for and not yet heard: one more than that means the board was reset. */
  #asked = 0;
  #tried: boolean;
  /** Since the last message. */
  #looks = 0;
  #bytesSinceMessage = false;
  #watch: SteadyLooks | null = null;
  #reading: Promise<void> = Promise.resolve();
  #closing: Promise<void> | null = null;

  constructor(port: BoardPort, listeners: SessionListeners, options: SessionOptions = {}) {
    const { rate = 'normal', counts = NOTHING_COUNTED } = options;
    this.rate = rate;
    this.#tried = rate === 'normal';
    this.#stream = new SessionStream((event) => listeners.event(event), counts);
    this.#port = port;
    this.#listeners = listeners;
    this.#commands = new BoardCommands(port, () => this.#ended);
  }

  get state(): SessionState {
    return this.#state;
  }

  /** Nothing counts before the board has introduced itself: it may be heard at another speed until then. */
  get counts(): LineCounts {
    return this.#stream.counts;
  }

  /** The board's clock against the computer's, begun anew with each introduction; null before the first. */
  get clock(): ClockCheck | null {
    return this.#stream.clock;
  }

  /** Opens the port, waits for the introduction, starts the stream. The outcome is told by the state. */
  async open(): Promise<void> {
    this.#to({ phase: 'opening' });
    try {
      await openInTime(this.#port, BAUD_RATES[this.rate]);
    } catch (error) {
      this.#refuse({ reason: 'could not open', sentence: (error as Error).message });
      return;
    }
    if (this.#ended) return this.#shut();
    this.#to({ phase: 'greeting' });
    this.#reading = this.#read();
    this.#watch = new SteadyLooks(WATCH_EVERY_MS, () => this.#look());
    await this.#greet(null, true);
  }

  /**
   * Sends a command and waits for its answer; commands go out one at a time.
   * @throws PortError when the board does not answer or refuses.
   */
  command(command: UntaggedCommand): Promise<void> {
    return this.#commands.send(command);
  }

  /** Lets the board introduce itself anew, after something that it says of itself was changed. */
  introduceAnew(): void {
    if (this.#state.phase === 'live') this.#greetAnew('restarted', null, false);
  }

  /** The computer slept or the page was frozen: what comes now does not continue what came. */
  slept(): void {
    if (this.#state.phase === 'live' && this.#port.kind !== 'recording')
      this.#greetAnew('silence', null, false);
  }

  /** Resolves when the port is closed and may be opened again. */
  async close(): Promise<void> {
    this.#end({ phase: 'lost', reason: 'closed', sentence: lostSentence.closed });
    await this.#shut();
  }

  /** `heard`: the introduction, where it has been heard already. `tell`: what it says of resets is told. */
  async #greet(heard: Hello | null, tell: boolean): Promise<void> {
    const greeting = ++this.#greeting;
    const isOver = () => this.#ended || greeting !== this.#greeting;
    const hello = heard ?? (await this.#introduced());
    if (isOver()) return;
    if (!hello) return this.#nobody();
    const objection = objectionTo(hello) ?? (this.rate === 'fast' ? notFast(hello) : null);
    if (objection) return this.#refuse(objection);
    const words = tell ? this.#resets.words(hello, this.#wasLive) : null;
    if (words) this.#listeners.reset?.(words);
    this.#hello = hello;
    this.#stream.adopt(hello);
    try {
      if (this.#port.kind !== 'recording' && !(await this.#startStream(hello, isOver))) return;
    } catch (error) {
      if (!isOver())
        this.#refuse({ reason: 'start refused', sentence: `${(error as Error).message} ${beginAnew}` });
      return;
    }
    if (isOver()) return;
    this.#wasLive = true;
    this.#to({ phase: 'live', hello, status: null });
    this.#stream.handOn();
  }

  /** False when the greeting was overtaken, or the trial of the rate failed. */
  async #startStream(hello: Hello, isOver: () => boolean): Promise<boolean> {
    await this.command({ type: 'stop' });
    // Commands are answered in order: every introduction asked for has been heard by now, or was lost.
    this.#asked = 0;
    // A board that times edges has room on the line for all of its channels.
    await this.command({ type: 'channels', mask: hello.kind === 'samples' ? 1 : hello.channels });
    if (isOver()) return false;
    const trial = this.#tried ? null : new RateTrial(hello);
    this.#stream.begin(trial);
    await this.command({ type: 'start' });
    const failure = trial && trialFailure(await trial.over);
    if (failure && !isOver()) this.#refuse(failure);
    if (isOver()) return false;
    this.#tried = true;
    return true;
  }

  get #greetingLooks(): number {
    return this.#port.kind === 'practice' ? PRACTICE_LOOKS : GREETING_LOOKS[this.rate];
  }

  #introduced(): Promise<Hello | null> {
    this.#heardWhileGreeting = new Heard();
    this.#introduction = new Introduction({
      looks: this.#greetingLooks,
      mayAsk: () => this.#heard,
      ask: () => {
        this.#asked++;
        void this.#port.write(encodeCommand({ type: 'hello', tag: 0 })).catch(() => undefined);
      },
    });
    return this.#introduction.heard;
  }

  /** A board that was live and is quiet may come back by itself; a port on which something else talks is none. */
  #nobody(): void {
    this.#introduction = null;
    const seconds = (this.#greetingLooks * ASK_EVERY_MS) / 1000;
    if (this.#hello && this.#heardWhileGreeting.nothing) this.#silent();
    else this.#refuse(this.#heardWhileGreeting.verdict(seconds));
  }

  #read(): Promise<void> {
    return readPort(this.#port, this.rate, {
      bytes: (bytes, at) => {
        if (!this.#ended) this.#take(bytes, at);
      },
      fault: () => {
        if (!this.#ended) this.#stream.fault();
      },
      flooded: () => this.#refuse({ reason: 'sends too much', sentence: tooMuch }),
      ended: (cause) => {
        this.#stream.gap('disconnected');
        this.#end({ phase: 'lost', reason: cause, sentence: lostSentence[cause] });
        void this.#shut();
      },
    });
  }

  #take(bytes: Uint8Array, at: number): void {
    this.#lookForSleep();
    this.#stream.arrival = at;
    this.#bytesSinceMessage = true;
    this.#heardWhileGreeting.take(bytes);
    this.#listeners.bytes?.(bytes, at);
    this.#reader.push(
      bytes,
      (message) => this.#message(message),
      () => this.#damage(),
      ({ code, sequence }) => {
        this.#heardWhileGreeting.unknown(code);
        this.#nextSequence = (sequence + 1) & 0xff;
        this.#stream.skipped(sequence);
      },
    );
    this.#introduction?.listen();
    this.#watch?.heard();
    const isBack = this.#state.phase === 'lost' && this.#state.reason === 'silent';
    if (isBack) this.#greetAnew('silence', null, false);
  }

  #message(message: Message): void {
    this.#heard = true;
    this.#heardWhileGreeting.message();
    this.#looks = 0;
    this.#bytesSinceMessage = false;
    // After a reset the numbers begin anew, so that an answer that comes late is told from an introduction unasked.
    const continues = message.sequence === this.#nextSequence;
    this.#nextSequence = (message.sequence + 1) & 0xff;
    if (message.type === 'hello') {
      const asked = this.#asked > 0;
      if (asked) this.#asked--;
      const { phase } = this.#state;
      if (this.#introduction) {
        this.#introduction.take(message);
        this.#introduction = null;
      } else if (!asked && !continues && (phase === 'live' || phase === 'greeting')) this.#wasReset(message);
      else this.#stream.message(message);
      return;
    }
    if (message.type === 'reply') this.#commands.take(message);
    this.#stream.message(message);
    if (message.type !== 'status' || this.#state.phase !== 'live') return;
    if (this.#state.hello.kind === 'edges') this.#stream.clockByStatus();
    // A board that was reset has forgotten that it was streaming.
    if (!message.streaming && this.#port.kind !== 'recording') this.#wasReset(null);
    else this.#to({ ...this.#state, status: message });
  }

  #damage(): void {
    if (this.#state.phase === 'live' || this.#stream.isOnTrial) this.#stream.damage();
  }

  #wasReset(hello: Hello | null): void {
    const isRecording = this.#port.kind === 'recording';
    if (isRecording || this.#resets.note(performance.now()))
      this.#greetAnew('restarted', hello, !isRecording);
    else this.#refuse({ reason: 'keeps resetting', sentence: keepsResetting });
  }

  /** Greets anew a board that was reset, or one that was silent and may have been. */
  #greetAnew(cause: GapCause, hello: Hello | null, tell: boolean): void {
    this.#stream.restart(cause);
    this.#settleAll();
    this.#looks = 0;
    this.#bytesSinceMessage = false;
    this.#to({ phase: 'greeting' });
    // A recording can't be asked.
    void this.#greet(hello ?? (this.#port.kind === 'recording' ? this.#hello : null), tell);
  }

  #look(): void {
    if (this.#lookForSleep() || this.#state.phase !== 'live') return;
    this.#looks++;
    // A board that is reset at the fast rate speaks at the normal one until it is asked.
    if (this.#bytesSinceMessage && this.#looks >= UNREADABLE_LOOKS) {
      if (this.rate === 'fast') this.#wasReset(null);
      else this.#greetAnew('silence', null, false);
    } else if (this.#looks >= SILENT_LOOKS) {
      this.#stream.gap('silence');
      this.#settleAll();
      this.#silent();
    }
  }

  #lookForSleep(): boolean {
    const slept = this.#sleep.look(performance.now(), Date.now());
    if (slept) this.slept();
    return slept;
  }

  #silent(): void {
    this.#to({ phase: 'lost', reason: 'silent', sentence: lostSentence.silent });
  }

  #refuse(verdict: Verdict): void {
    this.#end({ phase: 'refused', ...verdict });
    void this.#shut();
  }

  /** Once for all: the port may have been opened again by another session since. */
  #shut(): Promise<void> {
    this.#closing ??= closeInTime(this.#port, this.#reading);
    return this.#closing;
  }

  #end(state: SessionState): void {
    if (this.#ended) return;
    this.#ended = true;
    this.#watch?.stop();
    this.#settleAll();
    this.#to(state);
  }

  #settleAll(): void {
    this.#commands.giveUp();
    this.#introduction?.take(null);
    this.#introduction = null;
    this.#stream.endTrial();
  }

  #to(state: SessionState): void {
    this.#state = state;
    this.#listeners.state(state);
  }
}
