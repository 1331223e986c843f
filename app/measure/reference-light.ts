import { type Ticks, ticks } from '../../firmware-protocol/units.ts';
import type { ReferencePulse, SampleRun, StreamEvent } from '../link/stream.ts';
import type { PulseResult, ReferenceLightResult } from './light-check-result.ts';
import { LightCurve } from './light-curve.ts';
import { orderTicks, type PulseOrder, pulseOrder, REFERENCE_LIGHT_PLAN } from './reference-light-plan.ts';
import { SampleTail } from './sample-tail.ts';
import { trimmedLevel } from './trimmed-level.ts';

/**
 * Largest error of a mean. A sound sensor comes within a microsecond; 3 µs are 0.002 EV at 1/500 s, a ninth of
 * the time between samples, and 0.1 % is 0.0014 EV at any length: small beside every line of a budget.
 */
const LIMIT = { seconds: 3e-6, share: 0.001 } as const;
/** The integral reaches so far out from either edge: the light of a sensor that lags by 0.1 ms has then gone. */
const MARGIN_SECONDS = 0.001;
/** Record on either side of a pulse, whose dark lies beyond the margin. */
const SIDE_SECONDS = 0.007;
/** Pulses from this length on show the level of the light themselves. */
const LEVEL_SECONDS = 0.01;
/** Steps of light under which nothing is read, as for a firing. */
const WEAK_STEPS = 30;
/** Samples at full scale in a pulse, as a share, from which on its level is clipped. */
const CLIPPED_SHARE = 0.01;
/** Of a train, so many must be read: with fewer the phases leave holes. */
const LEAST_SHARE = 0.75;
/** A pulse may be told so long after its samples have come. */
const LATENESS_SECONDS = 0.5;
/** After a train's own time it may take this long, from the command to its last message. */
const PATIENCE_SECONDS = 1;

export type ReferenceLightObstacle =
  | 'no pulses' // none was told of, or none without a gap
  | 'no light' // the sensor does not see the LED
  | 'too bright'; // at the top of the range

interface ReferenceLightOptions {
  readonly tickHz: number;
  /** Of the channel's own samples. */
  readonly ticksPerSample: number;
  /** Highest code the converter can give, at most 255. */
  readonly fullScale: number;
  readonly channel: number;
}

interface MeasuredPulse {
  /** Which train, by its place in the plan. */
  readonly train: number;
  /** Light above dark, in codes times seconds. */
  readonly area: number;
  /** Level above dark in codes; null for a pulse too short to show it. */
  readonly height: number | null;
  /** Share of its samples that stand at full scale. */
  readonly clipped: number;
}

interface RunningTrain {
  readonly train: number;
  /** Tick of the newest sample when it was handed out; null before the first sample. */
  since: number | null;
  told: number;
}

/**
 * The check with the reference light. It is told of everything the stream brings, says which pulses to ask the board
 * for, one train after the other, and compares what it reads with their exact ticks. The time comes from the same
 * clock as the samples: this tests sensor, amplifier and analysis, not the clock. A pulse that a gap touches does
 * not count.
 */
export class ReferenceLightCheck {
  readonly #options: ReferenceLightOptions;
  readonly #orders: readonly PulseOrder[];
  readonly #tail: SampleTail;
  readonly #least: number;
  readonly #pulses: MeasuredPulse[] = [];
  #pending: ReferencePulse[] = [];
  #running: RunningTrain | null = null;
  #trainsBegun = 0;

  constructor(options: ReferenceLightOptions) {
    const { tickHz, ticksPerSample } = options;
    this.#options = options;
    this.#orders = REFERENCE_LIGHT_PLAN.map((train) => pulseOrder(train, tickHz, ticksPerSample));
    const longest = Math.max(...REFERENCE_LIGHT_PLAN.map(({ length }) => length));
    const kept = longest + 2 * SIDE_SECONDS + LATENESS_SECONDS;
    this.#least = Math.ceil((kept * tickHz) / ticksPerSample);
    this.#tail = new SampleTail(2 * this.#least, ticksPerSample);
  }

  /**
   * The train to ask for now, or null while one runs, before there is dark to see the first pulse against, and when
   * all are through. Each is handed out once.
   */
  nextOrder(): PulseOrder | null {
    if (this.#running !== null || this.#trainsBegun === this.#orders.length) return null;
    if (this.#tail.length < this.#samplesIn(SIDE_SECONDS)) return null;
    const train = this.#trainsBegun++;
    this.#running = { train, since: this.#newestTick(), told: 0 };
    return this.#orders[train]!;
  }

  /** All trains are through: `result` or `obstacle` says what came of them. */
  get done(): boolean {
    return this.#running === null && this.#trainsBegun === this.#orders.length;
  }

  /** How far it has come, 0 to 1, by time. */
  get part(): number {
    const through = this.#orders.slice(0, this.#running?.train ?? this.#trainsBegun);
    const all = sumOf(this.#orders.map(orderTicks));
    const within =
      this.#running === null
        ? 0
        : orderTicks(this.#orders[this.#running.train]!) *
          Math.min(1, this.#running.told / this.#orders[this.#running.train]!.count);
    return (sumOf(through.map(orderTicks)) + within) / all;
  }

  take(event: StreamEvent): void {
    if (event.kind === 'gap') this.#gap();
    else if (event.kind === 'run' && event.channel === this.#options.channel) this.#run(event);
    else if (event.kind === 'pulse') this.#pulse(event);
  }

  /** Why there is no result, or null. */
  get obstacle(): ReferenceLightObstacle | null {
    const levels = this.#pulses.filter(({ height }) => height !== null);
    if (levels.length === 0) return 'no pulses';
    if (meanOf(levels.map(({ clipped }) => clipped)) > CLIPPED_SHARE) return 'too bright';
    return meanOf(levels.map(({ height }) => height!)) < WEAK_STEPS ? 'no light' : null;
  }

  /** @throws RangeError while there is an obstacle. */
  result(): ReferenceLightResult {
    const { obstacle } = this;
    if (obstacle !== null) throw new RangeError(`The reference light can't be read: ${obstacle}.`);
    const level = this.#shortPulseLevel();
    const pulses = this.#orders.flatMap((order, train) => {
      const times = this.#pulses
        .filter((pulse) => pulse.train === train)
        .map(({ area, height }) => area / (height ?? level));
      return times.length === 0 ? [] : [this.#lengthResult(order, times)];
    });
    const passed = pulses.length === this.#orders.length && pulses.every(({ within }) => within);
    return { pulses, limit: LIMIT, passed };
  }

  #lengthResult({ width, count }: PulseOrder, times: readonly number[]): PulseResult {
    const length = width / this.#options.tickHz;
    const mean = meanOf(times);
    const error = mean - length;
    const squares = sumOf(times.map((time) => (time - mean) ** 2));
    return {
      length,
      count: times.length,
      error,
      sd: times.length < 2 ? 0 : Math.sqrt(squares / (times.length - 1)),
      within: times.length >= LEAST_SHARE * count && Math.abs(error) <= LIMIT.seconds + LIMIT.share * length,
    };
  }

  /** The level of the shortest pulses that show one: an LED that warms up has then changed least. */
  #shortPulseLevel(): number {
    const train = Math.min(...this.#pulses.flatMap(({ height, train }) => (height === null ? [] : [train])));
    return meanOf(this.#pulses.flatMap((pulse) => (pulse.train === train ? [pulse.height!] : [])));
  }

  #gap(): void {
    this.#tail.drop(this.#tail.length);
    this.#pending = [];
  }

  #run({ values, firstTick, ticksPerSample }: SampleRun): void {
    const tail = this.#tail;
    if (tail.length > 0 && Math.abs(firstTick - tail.tickAt(tail.length)) > ticksPerSample / 2) this.#gap();
    tail.append(values, 0, values.length, firstTick);
    this.#measurePending();
    this.#look();
    const surplus = tail.length - this.#least;
    if (surplus > this.#least) tail.drop(surplus);
  }

  #pulse(pulse: ReferencePulse): void {
    if (this.#running !== null) this.#running.told++;
    this.#pending.push(pulse);
    this.#measurePending();
  }

  #measurePending(): void {
    const newest = this.#newestTick();
    if (newest === null) return;
    const side = SIDE_SECONDS * this.#options.tickHz;
    const ready = this.#pending.filter(({ fall }) => fall + side <= newest);
    if (ready.length === 0) return;
    this.#pending = this.#pending.filter(({ fall }) => fall + side > newest);
    for (const { rise, fall } of ready) {
      const pulse = this.#measured(rise, fall);
      if (pulse !== null) this.#pulses.push(pulse);
    }
  }

  /** Null for a length that was not asked for (a train cut short), and where samples are missing. */
  #measured(rise: Ticks, fall: Ticks): MeasuredPulse | null {
    const { tickHz, ticksPerSample, fullScale } = this.#options;
    const side = this.#samplesIn(SIDE_SECONDS);
    const train = this.#orders.findIndex(({ width }) => width === fall - rise);
    const position = (tick: number) => (tick - this.#tail.tickAt(0)) / ticksPerSample;
    const from = Math.ceil(position(rise) - side);
    const to = Math.floor(position(fall) + side);
    if (train < 0 || from < 0) return null;

    const curve = new LightCurve(this.#tail.copy(from, to + 1));
    const begin = position(rise) - from;
    const end = position(fall) - from;
    const margin = this.#samplesIn(MARGIN_SECONDS);
    const before = trimmedLevel(curve.values, 0, Math.floor(begin - margin));
    const after = trimmedLevel(curve.values, Math.ceil(end + margin), curve.length);
    const dark = (before.mean + after.mean) / 2;
    const area = curve.integral(begin - margin, end + margin, dark) * (ticksPerSample / tickHz);
    if ((fall - rise) / tickHz < 0.99 * LEVEL_SECONDS) return { train, area, height: null, clipped: 0 };
    const first = Math.ceil(begin + margin);
    const last = Math.floor(end - margin);
    let full = 0;
    for (let i = first; i < last; i++) if (curve.values[i]! >= fullScale) full++;
    const { mean } = trimmedLevel(curve.values, first, last);
    return { train, area, height: mean - dark, clipped: full / (last - first) };
  }

  #samplesIn(seconds: number): number {
    return (seconds * this.#options.tickHz) / this.#options.ticksPerSample;
  }

  /** Whether the running train is through: all its pulses told and read, or its time up. */
  #look(): void {
    const running = this.#running;
    const newest = this.#newestTick();
    if (running === null || newest === null) return;
    // The tick falls back when the board is reset.
    if (running.since === null || newest < running.since) running.since = newest;
    const order = this.#orders[running.train]!;
    const timeUp = newest > running.since + orderTicks(order) + PATIENCE_SECONDS * this.#options.tickHz;
    if (timeUp || (running.told >= order.count && this.#pending.length === 0)) this.#running = null;
  }

  /** Of the sample that came last, or null when nothing is held. */
  #newestTick(): Ticks | null {
    return this.#tail.length === 0 ? null : ticks(this.#tail.tickAt(this.#tail.length - 1));
  }
}

const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);
const meanOf = (values: readonly number[]): number => sumOf(values) / values.length;
