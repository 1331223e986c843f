/**
 * Messages of a streaming board whose clock is wrong by a known amount, and how late a computer sees them.
 * Arrivals follow upon one another: what is held up holds up what comes behind.
 */
import { ClockCheck } from '../../app/link/clock-check.ts';
import { SAMPLES_PER_BLOCK } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';

export const TICK_HZ = 2_000_000;
/** From one sample block to the next: 3.328 ms by the board's clock. */
const TICKS_PER_BLOCK = SAMPLES_PER_BLOCK * 52;

/** Arrival, in ms of the computer's clock, of a message that was sent at such an instant of it. */
export type Jitter = (sent: number) => number;

const exponential = (random: () => number, mean: number) => -mean * Math.log(1 - random());

/** Delivered at multiples of 16 ms of the computer's time. */
function inBursts(random: () => number): Jitter {
  const phase = 16 * random();
  return (sent) => {
    const handedOver = sent + 0.2 * random(); // through the bridge, before the timer
    return 16 * Math.ceil((handedOver - phase) / 16) + phase + exponential(random, 0.05);
  };
}

export const JITTERS = {
  exponential: (random: () => number): Jitter => {
    return (sent) => sent + exponential(random, 2);
  },
  'bursts of 16 ms': inBursts,
  /** Some seconds of the one, some of the other, and now and then the page is busy. */
  mixture: (random: () => number): Jitter => {
    const bursts = inBursts(random);
    let burstsNow = false;
    let until = Number.NEGATIVE_INFINITY;
    return (sent) => {
      if (sent > until) {
        burstsNow = random() < 0.5;
        until = sent + 1000 + 6000 * random();
      }
      const busy = random() < 0.005 ? 300 * random() : 0;
      return busy + (burstsNow ? bursts(sent) : sent + exponential(random, 2));
    };
  },
} as const;

export type JitterName = keyof typeof JITTERS;

/** A board that streams into a clock check; its clock and the computer's start anywhere. */
export class StreamingBoard {
  readonly check = new ClockCheck({ tickHz: TICK_HZ });
  readonly #jitter: Jitter;
  #tick: number;
  /** By the computer's clock, in ms. */
  #now: number;
  #arrived = 0;

  constructor(seed: number, jitter: JitterName) {
    const random = seededRandom(seed);
    this.#tick = Math.floor(1e9 * random());
    this.#now = 1e6 * random();
    this.#jitter = JITTERS[jitter](random);
  }

  /** Streams for so many seconds of the computer's time. `late`: ms that each arrival is late beyond its jitter. */
  stream(seconds: number, ppm: number, late = 0): this {
    const end = this.#now + 1000 * seconds;
    const perBlock = (1000 * TICKS_PER_BLOCK) / TICK_HZ / (1 + ppm * 1e-6);
    for (; this.#now < end; this.#now += perBlock) {
      this.#arrived = Math.max(this.#arrived, this.#jitter(this.#now) + late);
      this.check.add(ticks(this.#tick), this.#arrived);
      this.#tick += TICKS_PER_BLOCK;
    }
    return this;
  }

  /** The computer's clock stands still for so long, while the board's goes on. */
  sleep(seconds: number): this {
    this.#tick += seconds * TICK_HZ;
    return this;
  }

  /** The board's clock stands still. */
  giveUp(seconds: number): this {
    this.#now += 1000 * seconds;
    return this;
  }
}

export interface Recovery {
  readonly runs: number;
  /** Runs whose error lies within the expanded uncertainty, k = 2. No estimate is no recovery. */
  readonly within: number;
  readonly medianUncertainty: number;
  readonly largestUncertainty: number;
  /** Root mean square of the errors, in ppm. */
  readonly rms: number;
}

/** Seeded runs of a minute against a board of a known error. */
export function recovery(jitter: JitterName, ppm: number, runs: number, seconds = 60): Recovery {
  const found = Array.from({ length: runs }, (_, run) =>
    new StreamingBoard(1000 + run, jitter).stream(seconds, ppm).check.estimate(),
  ).filter((estimate) => estimate !== null);
  const uncertainties = found.map(({ uncertainty }) => uncertainty).sort((a, b) => a - b);
  const errors = found.map((estimate) => estimate.ppm - ppm);
  return {
    runs,
    within: found.filter(({ uncertainty }, i) => Math.abs(errors[i]!) <= 2 * uncertainty).length,
    medianUncertainty: uncertainties[uncertainties.length >> 1] ?? Number.NaN,
    largestUncertainty: uncertainties.at(-1) ?? Number.NaN,
    rms: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
  };
}
