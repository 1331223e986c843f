import type { LightCheckResult, LightProblem } from './light-check-result.ts';
import { drift, type LevelBlock } from './light-drift.ts';
import { flicker, type RippleBlock, rippleOf } from './light-ripple.ts';
import { QUANTISATION_SD, trimmedLevel } from './trimmed-level.ts';

/** Two and a half periods of 50 Hz mains, three of 60 Hz: the lamp's ripple at twice that averages out. */
const BLOCK_SECONDS = 0.05;
/** Least of either kind before there is a result. */
const LEAST_SECONDS = 1;

/** Dark above this share of the range: light from elsewhere, which also eats up the range. */
const BRIGHTEST_DARK = 0.1;
/** Codes between the lowest and the highest block of dark. Over 1 s of 200 steps one code is 0.007 EV. */
const UNSTEADIEST_DARK = 1;
/** Noise as a share of the light: from 1.5 % on, total open time is taken at 6 % of the light (four times it). */
export const LARGEST_NOISE = 0.015;
/** Steps of light; with fewer there are no shape figures. */
export const LEAST_HEIGHT = 100;
/** Share of the range left above the open level: noise and ripple need room as well. */
export const LEAST_HEADROOM = 0.05;
/** Amplitude as a share of the light: a short exposure on a crest then reads 0.014 EV off. */
export const LARGEST_FLICKER = 0.01;
/** Share of the light per minute, either way: 0.007 EV between a reference level and a firing a minute later. */
export const LARGEST_DRIFT = 0.005;
/** Full-scale samples of the open light, as a share, above which its level is clipped. */
const CLIPPED_SHARE = 0.001;
/** Noise below which a level's rounding to whole codes does not average out. */
const DITHER_CODES = 0.5;
/** An open block with less than this share of the brightest one was taken while the shutter was not open. */
const OPEN_SHARE = 0.5;

interface LightCheckOptions {
  readonly secondsPerSample: number;
  /** Highest code the converter can give, at most 255. */
  readonly fullScale: number;
}

interface DarkBlock {
  readonly mean: number;
  readonly sd: number;
}

/** 0.1 s of open light: two blocks for the level, ten periods of 100 Hz and twelve of 120 Hz for the ripple. */
interface OpenBlock extends LevelBlock, RippleBlock {
  readonly full: number;
}

/**
 * The check of the light before work: first some seconds of dark, then of open light, a minute of it if the drift
 * is to be known well. Samples are codes of one channel. They are taken in whole blocks and not kept: a minute of
 * light leaves some hundred kilobytes at most. A pure function of the samples, however they are divided into calls.
 */
export class LightCheck {
  readonly #secondsPerSample: number;
  readonly #fullScale: number;
  readonly #half: number;
  readonly #dark: BlockCutter;
  readonly #open: BlockCutter;
  readonly #darkBlocks: DarkBlock[] = [];
  readonly #openBlocks: OpenBlock[] = [];
  #stretch = 0;
  /** Blocks since the stretch began. */
  #place = 0;

  constructor({ secondsPerSample, fullScale }: LightCheckOptions) {
    this.#secondsPerSample = secondsPerSample;
    this.#fullScale = fullScale;
    this.#half = Math.max(8, Math.round(BLOCK_SECONDS / secondsPerSample));
    this.#dark = new BlockCutter(this.#half, (values) => this.#takeDark(values));
    this.#open = new BlockCutter(2 * this.#half, (values) => this.#takeOpen(values));
  }

  get darkSeconds(): number {
    return this.#darkBlocks.length * this.#half * this.#secondsPerSample;
  }

  get openSeconds(): number {
    return this.#openBlocks.length * 2 * this.#half * this.#secondsPerSample;
  }

  /** Mean of the dark so far, in codes; NaN before the first whole block. */
  get darkLevel(): number {
    return meanOf(this.#darkBlocks.map(({ mean }) => mean));
  }

  /** Whether there is enough of both for a result. */
  get ready(): boolean {
    const enough = LEAST_SECONDS * 0.99;
    return this.darkSeconds >= enough && this.openSeconds >= enough;
  }

  /** Samples of a channel that gets no light but what leaks in. */
  addDark(values: Uint8Array): void {
    this.#endOpen();
    this.#dark.add(values);
  }

  /** Samples of a channel that gets the light of the open shutter. */
  addOpen(values: Uint8Array): void {
    this.#dark.drop();
    this.#open.add(values);
  }

  /** What comes does not continue what came. */
  gap(): void {
    this.#dark.drop();
    this.#endOpen();
  }

  /** @throws RangeError while `ready` is false. */
  result(): LightCheckResult {
    if (!this.ready)
      throw new RangeError(`A light check needs ${LEAST_SECONDS} s of dark and as much light.`);
    const darkMeans = this.#darkBlocks.map(({ mean }) => mean);
    const dark = this.darkLevel;
    const noise = Math.sqrt(meanOf(this.#darkBlocks.map(({ sd }) => sd * sd)));
    const lit = this.#openOnly(dark);
    const levels = lit.flatMap(({ levels }) => levels);
    const open = meanOf(levels);
    const height = open - dark;
    const openNoise = Math.sqrt(meanOf(lit.map(({ variance }) => variance)));
    // A firing meets the light of a moment, not its mean over the check: the blocks' own scatter counts, drift included.
    const heightUncertainty = Math.hypot(
      deviationOf(levels),
      rounding(openNoise),
      deviationOf(darkMeans) / Math.sqrt(darkMeans.length),
      rounding(noise),
    );
    const blockSeconds = this.#half * this.#secondsPerSample;
    const result = {
      dark,
      noise,
      darkSeconds: this.darkSeconds,
      openSeconds: levels.length * blockSeconds,
      height,
      heightUncertainty,
      headroom: (this.#fullScale - open) / this.#fullScale,
      flicker: height < 1 ? null : flicker(lit, height),
      drift: height < 1 ? null : drift(lit, blockSeconds, height, openNoise < DITHER_CODES),
    };
    const full = lit.reduce((sum, block) => sum + block.full, 0);
    const clipped = full > CLIPPED_SHARE * levels.length * this.#half;
    const darkRange = Math.max(...darkMeans) - Math.min(...darkMeans);
    return { ...result, problems: problemsOf(result, darkRange, clipped, this.#fullScale) };
  }

  #takeDark(values: Uint8Array): void {
    const { mean, sd } = trimmedLevel(values, 0, values.length);
    this.#darkBlocks.push({ mean, sd });
  }

  #takeOpen(values: Uint8Array): void {
    let full = 0;
    let early = 0;
    let late = 0;
    for (let i = 0; i < values.length; i++) {
      const value = values[i]!;
      if (value >= this.#fullScale) full++;
      if (i < this.#half) early += value;
      else late += value;
    }
    this.#openBlocks.push({
      stretch: this.#stretch,
      place: this.#place++,
      levels: [early / this.#half, late / this.#half],
      full,
      ...rippleOf(values, this.#secondsPerSample),
    });
  }

  #endOpen(): void {
    this.#open.drop();
    if (this.#place === 0) return;
    this.#place = 0;
    this.#stretch++;
  }

  /** Without the blocks in which the shutter was not open yet or no more, and those into which its edges fall. */
  #openOnly(dark: number): readonly OpenBlock[] {
    const blocks = this.#openBlocks;
    const brightest = Math.max(...blocks.flatMap(({ levels }) => levels));
    const least = dark + OPEN_SHARE * (brightest - dark);
    const isOpen = (block: OpenBlock | undefined, stretch: number) =>
      block === undefined || block.stretch !== stretch || block.levels.every((level) => level >= least);
    const kept = blocks.filter((block, n) =>
      [blocks[n - 1], block, blocks[n + 1]].every((near) => isOpen(near, block.stretch)),
    );
    return kept.length > 0 ? kept : blocks;
  }
}

/** Gathers samples to blocks of one length, whatever the sizes of the runs they come in. */
class BlockCutter {
  readonly #block: Uint8Array;
  readonly #take: (block: Uint8Array) => void;
  #filled = 0;

  constructor(size: number, take: (block: Uint8Array) => void) {
    this.#block = new Uint8Array(size);
    this.#take = take;
  }

  add(values: Uint8Array): void {
    for (let from = 0; from < values.length; ) {
      const count = Math.min(values.length - from, this.#block.length - this.#filled);
      this.#block.set(values.subarray(from, from + count), this.#filled);
      this.#filled += count;
      from += count;
      if (this.#filled < this.#block.length) return;
      this.#filled = 0;
      this.#take(this.#block);
    }
  }

  /** Forgets the block that is not full. */
  drop(): void {
    this.#filled = 0;
  }
}

function problemsOf(
  { dark, noise, height, headroom, flicker, drift }: Omit<LightCheckResult, 'problems'>,
  darkRange: number,
  clipped: boolean,
  fullScale: number,
): LightProblem[] {
  const problems: LightProblem[] = [];
  if (darkRange > UNSTEADIEST_DARK) problems.push('dark unsteady');
  if (dark > BRIGHTEST_DARK * fullScale) problems.push('dark too bright');
  if (noise > LARGEST_NOISE * Math.max(height, LEAST_HEIGHT)) problems.push('noisy');
  if (height < LEAST_HEIGHT) problems.push('weak');
  if (headroom < LEAST_HEADROOM || clipped) problems.push('too bright');
  if (flicker !== null && flicker.amplitude > LARGEST_FLICKER) problems.push('flicker');
  if (drift !== null) {
    const change = Math.abs(drift.perMinute);
    if (change > LARGEST_DRIFT && change > 2 * drift.uncertainty) problems.push('drift');
  }
  return problems;
}

/** Standard uncertainty of a level by its rounding to whole codes, which enough noise averages out. */
const rounding = (noise: number): number => (noise < DITHER_CODES ? QUANTISATION_SD : 0);

/** Sample standard deviation. */
function deviationOf(values: readonly number[]): number {
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
