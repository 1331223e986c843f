import type { Edge, Hello, Message } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { ClockCheck } from './clock-check.ts';
import { type LineCounts, LineTally } from './line-tally.ts';
import type { RateTrial } from './rate-trial.ts';
import type { GapCause, StreamEvent } from './stream.ts';
import { StreamAssembler } from './stream-assembler.ts';

/** What a session's messages become: the stream, the clock check, and the count of what the line has cost. */
export class SessionStream {
  readonly #emit: (event: StreamEvent) => void;
  readonly #tally: LineTally;
  #assembler: StreamAssembler | null = null;
  #clock: ClockCheck | null = null;
  #trial: RateTrial | null = null;
  /** By input, what the board said of it last: it tells a contact that stands closed once, perhaps before the stream. */
  readonly #inputs = new Map<Edge['input'], Edge>();
  /** When the bytes being read had come, in ms. */
  arrival = 0;

  /** `before`: counted on the same line already. */
  constructor(emit: (event: StreamEvent) => void, before: LineCounts) {
    this.#emit = emit;
    this.#tally = new LineTally(before);
  }

  get counts(): LineCounts {
    return this.#tally.counts;
  }

  /** Begun anew with each introduction; null before the first. */
  get clock(): ClockCheck | null {
    return this.#clock;
  }

  get isOnTrial(): boolean {
    return this.#trial !== null;
  }

  /** From now on the stream is this board's. */
  adopt(hello: Hello): void {
    this.#clock = new ClockCheck(hello);
    this.#assembler = new StreamAssembler(hello, (event) => this.#take(event));
    this.#assembler.restart('restarted');
  }

  /** The stream begins now. While it is on trial nothing of it is handed on. */
  begin(trial: RateTrial | null): void {
    this.#assembler?.restart('restarted');
    this.#trial = trial;
  }

  /** The trial is over, or the board is live without one. */
  handOn(): void {
    this.#trial = null;
    for (const edge of this.#inputs.values()) this.#assembler?.edge(edge);
  }

  /** Nobody waits for its end any more. */
  endTrial(): void {
    this.#trial?.end('failed');
    this.#trial = null;
  }

  /** Nothing that comes continues what came. */
  restart(cause: GapCause): void {
    this.endTrial();
    this.#tally.begunAnew();
    this.#assembler?.restart(cause);
    this.#inputs.clear();
  }

  gap(cause: GapCause): void {
    this.#assembler?.gap(cause);
  }

  fault(): void {
    this.#tally.fault();
    this.gap('read error');
  }

  damage(): void {
    this.#tally.damage();
    this.#assembler?.damaged();
  }

  skipped(sequence: number): void {
    this.#assembler?.skipped(sequence);
  }

  /** A good message has come, of whatever type. */
  message(message: Message): void {
    this.#tally.message();
    if (message.type === 'edge') this.#inputs.set(message.input, message);
    this.#assembler?.message(message);
  }

  /** Of a board that times edges: it has nothing else that comes steadily. */
  clockByStatus(): void {
    const latest = this.#assembler?.latestTick ?? null;
    if (latest !== null) this.#clock?.add(latest, this.arrival);
  }

  #take(event: StreamEvent): void {
    if (event.kind === 'gap') {
      this.#tally.gap(event.cause);
      // The board may have been reset, or its ticks may have wrapped unseen.
      if (event.cause === 'restarted' || event.cause === 'silence') this.#clock?.restart();
    } else if (event.kind === 'run') {
      // A block is sent as soon as its last sample is there.
      const last = event.firstTick + (event.values.length - 1) * event.ticksPerSample;
      this.#clock?.add(ticks(last), this.arrival);
    }
    if (this.#trial) this.#trial.take(event);
    else this.#emit(event);
  }
}
