import { QUANTISATION_SD } from './trimmed-level.ts';

/** One period of 100 Hz lamp flicker, so that its ripple does not look like unsteady dark. */
const BLOCK_SECONDS = 0.01;
/** Block means may differ by this many codes and still be one level. */
const STEADY_CODES = 3;
/** Scatter of single samples, as a share of the range, above which a block is no dark. */
const SCATTER_SHARE = 0.04;
/** A steady level above this share of the range is an open shutter, never dark. */
const DARK_SHARE = 0.3;
/** A level brighter than the known dark becomes the new dark only after standing still this long … */
const RELEARN_SECONDS = 5;
/** … and only under this share of the range (the room's lights went on). */
const RELEARN_SHARE = 0.2;

/**
 * Decides whether a channel has been dark and steady for long enough. Fed sample by sample; works on means
 * of 10 ms blocks, whatever the size of the runs that come in.
 */
export class DarkWatch {
  readonly #blockSamples: number;
  readonly #blocksNeeded: number;
  readonly #relearnBlocks: number;
  readonly #fullScale: number;
  #count = 0;
  #sum = 0;
  #squares = 0;
  /** Means and variances of the newest blocks, as a ring. */
  readonly #means: Float64Array;
  readonly #variances: Float64Array;
  #blocks = 0;
  /** Blocks in a row that were steady, though perhaps too bright. */
  #steadyBlocks = 0;
  /** Level last accepted as dark; survives a reset, NaN before the first. */
  #known = Number.NaN;
  #knownNoise = QUANTISATION_SD;

  constructor(secondsPerSample: number, fullScale: number, armAfterSeconds: number) {
    this.#blockSamples = Math.max(8, Math.round(BLOCK_SECONDS / secondsPerSample));
    const blockSeconds = this.#blockSamples * secondsPerSample;
    this.#blocksNeeded = Math.max(2, Math.ceil(armAfterSeconds / blockSeconds - 1e-9));
    this.#relearnBlocks = Math.ceil(RELEARN_SECONDS / blockSeconds);
    this.#fullScale = fullScale;
    this.#means = new Float64Array(this.#blocksNeeded);
    this.#variances = new Float64Array(this.#blocksNeeded);
  }

  /** Samples in the blocks that dark and noise rest on. */
  get samplesHeld(): number {
    return Math.min(this.#blocks, this.#blocksNeeded) * this.#blockSamples;
  }

  /** Dark last accepted, in codes, or NaN. */
  get dark(): number {
    return this.#known;
  }

  /** Standard deviation of a single sample in that dark. */
  get noise(): number {
    return this.#knownNoise;
  }

  /** Forgets the history, but not how dark it once was. */
  reset(): void {
    this.#count = 0;
    this.#sum = 0;
    this.#squares = 0;
    this.#blocks = 0;
    this.#steadyBlocks = 0;
  }

  /** Leaves the unfinished block out, since light has fallen into it. */
  discardBlock(): void {
    this.#count = 0;
    this.#sum = 0;
    this.#squares = 0;
  }

  /** Returns true when a block was completed. */
  add(value: number): boolean {
    this.#sum += value;
    this.#squares += value * value;
    if (++this.#count < this.#blockSamples) return false;
    const blockMean = this.#sum / this.#count;
    const variance = Math.max(this.#squares / this.#count - blockMean * blockMean, 0);
    this.discardBlock();
    const slot = this.#blocks % this.#blocksNeeded;
    this.#means[slot] = blockMean;
    this.#variances[slot] = variance;
    this.#blocks++;
    this.#steadyBlocks = this.#isSteady() ? this.#steadyBlocks + 1 : 0;
    return true;
  }

  /** Steady and dark for as long as asked. Accepting it makes the level the known dark. */
  accept(): boolean {
    if (this.#steadyBlocks === 0 || this.#blocks < this.#blocksNeeded) return false;
    const level = mean(this.#means, this.#blocksNeeded);
    if (level > DARK_SHARE * this.#fullScale) return false;
    if (level > this.#known + STEADY_CODES) {
      const longEnough = this.#steadyBlocks >= this.#relearnBlocks;
      if (!longEnough || level > this.#known + RELEARN_SHARE * this.#fullScale) return false;
    }
    this.#known = level;
    const noise = Math.sqrt(mean(this.#variances, this.#blocksNeeded));
    this.#knownNoise = Math.max(noise, QUANTISATION_SD);
    return true;
  }

  #isSteady(): boolean {
    const blocks = Math.min(this.#blocks, this.#blocksNeeded);
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    const scatter = (SCATTER_SHARE * this.#fullScale) ** 2;
    for (let i = 0; i < blocks; i++) {
      const blockMean = this.#means[i]!;
      if (blockMean < low) low = blockMean;
      if (blockMean > high) high = blockMean;
      if (this.#variances[i]! > scatter) return false;
    }
    return high - low <= STEADY_CODES;
  }
}

function mean(values: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += values[i]!;
  return sum / count;
}
