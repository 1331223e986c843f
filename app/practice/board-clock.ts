/** The resonator that the emulated board runs by, against the clock on the wall. */
import { Random } from './random.ts';

/** Ceramic resonators are off by up to some thousand ppm (common practice, no source). */
const RESONATOR_PPM = 3000;
/** Behind the clock by more than this, in seconds, the board gives up the rest, rather than race. */
const LARGEST_DEFICIT = 0.25;

/** How far the resonator of a practice board with this seed is off: the same for the same seed. */
export const resonatorPpm = (seed: number): number =>
  Math.round((2 * new Random(seed ^ 0x5eed).uniform() - 1) * RESONATOR_PPM);

/** @throws RangeError beyond ±1 %, more than any resonator is off. */
function checkPpm(ppm: number): void {
  if (!(Math.abs(ppm) <= 10_000)) throw new RangeError('A clock is off by at most 10,000 ppm.');
}

export class BoardClock {
  readonly cyclesPerSecond: number;
  /** How often time was given up: the board's ticks stood still against the wall clock. */
  skipped = 0;
  /** Wall-clock reading, in ms, at which the board would have stood at cycle 0. */
  #origin: number | null = null;

  /** `ppm`: how much the resonator is fast. */
  constructor(nominalHz: number, ppm: number) {
    checkPpm(ppm);
    this.cyclesPerSecond = nominalHz * (1 + ppm * 1e-6);
  }

  /** Cycle at which a board that stands at `cycle` should be when the wall clock reads `now` (ms, any origin). */
  target(now: number, cycle: number): number {
    const perMillisecond = this.cyclesPerSecond / 1000;
    this.#origin ??= now - cycle / perMillisecond;
    const target = (now - this.#origin) * perMillisecond;
    const surplus = target - cycle - LARGEST_DEFICIT * this.cyclesPerSecond;
    if (surplus <= 0) return target;
    this.#origin += surplus / perMillisecond;
    this.skipped++;
    return target - surplus;
  }
}
