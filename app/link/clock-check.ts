import type { Ticks } from '../../firmware-protocol/units.ts';
import { type LowerLine, lowerLine } from './lower-line.ts';

/**
 * The board's clock against the computer's: it runs at nominal · (1 + ppm · 10⁻⁶); positive is fast.
 */
export interface ClockEstimate {
  readonly ppm: number;
  /** Standard uncertainty of ppm from the arrival times alone; the computer's own clock comes on top. */
  readonly uncertainty: number;
  /** Time that the line rests on. */
  readonly observedSeconds: number;
}

/** Columns for a plot: one entry for each block's earliest arrival. */
export interface ClockPoints {
  /** Board's time since the check began, in seconds. */
  readonly seconds: readonly number[];
  /** Arrival against the board's nominal clock, in ms from the first arrival. */
  readonly lateness: readonly number[];
  /** The fitted line at the same instants; null as long as there is none. */
  readonly line: readonly number[] | null;
}

interface Block {
  /** Running number of the block at the present length of blocks. */
  number: number;
  x: number;
  y: number;
}

/** Blocks kept. When they are full, neighbours merge and blocks get twice as long. */
const MOST_BLOCKS = 64;
const SHORTEST_BLOCK = 0.125;
/** At this length the oldest block goes instead: four minutes show a rate well and follow a warming board. */
const LONGEST_BLOCK = 4;
/** Seconds before which there is no estimate. */
const LEAST_SECONDS = 20;
/** A point further under the line, in ms, can't be: no arrival is early. Then the clocks don't agree any more. */
const UNDER = 2;
/** Above the line by more than this, in ms, for so many seconds on end: what was lost will not come back. */
const ABOVE = 2;
const STEADY_SECONDS = 10;
/** After so long above the line, arrivals are being held up and say nothing of the resolution. */
const HELD_UP_SECONDS = 0.5;
/** Latest arrivals, of whose spacing the resolution is taken. */
const LATEST = 4096;
/** No serial line works with clocks so far apart (2 to 4 %, data sheet of the ATmega328P, USART). */
const MOST_PPM = 40_000;
/** A worse estimate is of no use: a ceramic resonator is good to some tenths of a per cent without any. */
const MOST_UNCERTAINTY = 1000;

/**
 * Compares the board's clock with the computer's while messages come. An arrival is never early, only late,
 * so the clocks are compared along the lower edge of all arrivals, not through their middle: the earliest
 * arrival of each block of time is kept, and a line is fitted along these (lower-line.ts).
 *
 * Starts anew by itself when one clock has jumped against the other: a computer that slept, an emulated
 * board that gave up time. Memory and the cost of adding are constant.
 */
export class ClockCheck {
  readonly #tickHz: number;
  #origin: { readonly tick: number; readonly at: number } | null = null;
  #blocks: Block[] = [];
  #blockSeconds = SHORTEST_BLOCK;
  #line: LowerLine | null = null;
  /** Since when every arrival was far above the line. */
  #aboveSince: number | null = null;
  readonly #latestX = new Float64Array(LATEST);
  readonly #latestY = new Float64Array(LATEST);
  #added = 0;

  constructor({ tickHz }: { readonly tickHz: number }) {
    this.#tickHz = tickHz;
  }

  /** `arrivalMs`: when the message that brought this tick had come, on the computer's monotonic clock. */
  add(tick: Ticks, arrivalMs: number): void {
    this.#origin ??= { tick, at: arrivalMs };
    const x = (tick - this.#origin.tick) / this.#tickHz;
    const y = arrivalMs - this.#origin.at - 1000 * x;
    if (this.#jumped(x, y)) {
      this.restart();
      this.#origin = { tick, at: arrivalMs };
      this.#put(0, 0);
    } else this.#put(x, y);
  }

  /** Forgets all: what comes has nothing to do with what came. */
  restart(): void {
    this.#origin = null;
    this.#blocks = [];
    this.#blockSeconds = SHORTEST_BLOCK;
    this.#line = null;
    this.#aboveSince = null;
    this.#added = 0;
  }

  /** Null before about 20 s, and while no clear edge shows. */
  estimate(): ClockEstimate | null {
    const first = this.#blocks[0];
    const last = this.#blocks.at(-1);
    if (!this.#line || !first || !last || last.x - first.x < LEAST_SECONDS) return null;
    const line = lowerLine(this.#blocks, this.#resolution(this.#line));
    if (!line) return null;
    // Time by the computer per time by the board's nominal clock is 1 + slope.
    const ratio = 1 + line.slope * 1e-3;
    const ppm = 1e6 * (1 / ratio - 1);
    const uncertainty = (1e3 * line.uncertainty) / ratio ** 2;
    if (Math.abs(ppm) > MOST_PPM || uncertainty > MOST_UNCERTAINTY) return null;
    return { ppm, uncertainty, observedSeconds: last.x - first.x };
  }

  points(): ClockPoints {
    const line = this.#line;
    return {
      seconds: this.#blocks.map(({ x }) => x),
      lateness: this.#blocks.map(({ y }) => y),
      line: line && this.#blocks.map(({ x }) => line.offset + line.slope * x),
    };
  }

  #jumped(x: number, y: number): boolean {
    const last = this.#blocks.at(-1);
    if (!last) return false;
    // Ticks of neighbouring messages may come out of order by a little; a second back is another clock.
    if (x < last.x - 1) return true;
    if (!this.#line) return false;
    const above = y - this.#line.offset - this.#line.slope * x;
    if (above < -UNDER) return true;
    if (above <= ABOVE) this.#aboveSince = null;
    else this.#aboveSince ??= x;
    return this.#secondsAbove(x) > STEADY_SECONDS;
  }

  #secondsAbove(x: number): number {
    return this.#aboveSince === null ? 0 : x - this.#aboveSince;
  }

  #put(x: number, y: number): void {
    if (this.#secondsAbove(x) < HELD_UP_SECONDS) {
      this.#latestX[this.#added % LATEST] = x;
      this.#latestY[this.#added % LATEST] = y;
      this.#added++;
    }
    const number = Math.floor(x / this.#blockSeconds);
    const last = this.#blocks.at(-1);
    if (last && number <= last.number) {
      if (this.#height(x, y) < this.#height(last.x, last.y)) Object.assign(last, { x, y });
      return;
    }
    this.#line = lowerLine(this.#blocks, 0);
    if (this.#blocks.length >= MOST_BLOCKS) {
      if (this.#blockSeconds < LONGEST_BLOCK) this.#merge();
      else this.#blocks.shift();
    }
    this.#blocks.push({ number: Math.floor(x / this.#blockSeconds), x, y });
  }

  /** Above a line of the slope known so far: what is earliest in a block depends on it. */
  #height(x: number, y: number): number {
    return y - (this.#line?.slope ?? 0) * x;
  }

  #merge(): void {
    this.#blockSeconds *= 2;
    const merged: Block[] = [];
    for (const { number, x, y } of this.#blocks) {
      const last = merged.at(-1);
      if (last?.number !== number >> 1) merged.push({ number: number >> 1, x, y });
      else if (this.#height(x, y) < this.#height(last.x, last.y)) Object.assign(last, { x, y });
    }
    this.#blocks = merged;
  }

  /**
   * The widest step, in ms, between neighbouring heights of the lower half of the latest arrivals. Where
   * bytes are handed over in bursts whose period and that of the messages are in a simple ratio, only a few
   * heights occur, with steps between them that hide as much of a slope.
   */
  #resolution({ slope }: LowerLine): number {
    const count = Math.min(this.#added, LATEST);
    const heights = this.#latestY.slice(0, count).map((y, i) => y - slope * this.#latestX[i]!);
    heights.sort();
    let widest = 0;
    for (let i = 1; i < count / 2; i++) widest = Math.max(widest, heights[i]! - heights[i - 1]!);
    return widest;
  }
}
