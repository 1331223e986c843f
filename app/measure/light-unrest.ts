/** Whether the light itself stood still while the shutter was open: flicker of mains lamps, and drift. */
import type { Remark } from './figures.ts';
import { DARK_BLOCK_SECONDS } from './levels.ts';
import type { LightCurve } from './light-curve.ts';

/**
 * Frequencies are looked at in blocks of 50 ms: five periods of 100 Hz and six of 120 Hz, so that neither
 * shows in the other's sum, nor a steady light in either. A shorter opening than that can't tell them apart
 * and is not asked. The powers of all blocks are averaged, phases left out: mains that stray by half a hertz,
 * or a board's clock by half a percent, cost nothing even after a minute.
 */
const BLOCK_SECONDS = DARK_BLOCK_SECONDS;
const FLICKER = [100, 120] as const;
/** What stands here too is no flicker of the mains. */
const BESIDE = [80, 140, 160] as const;
const POINTS_PER_BLOCK = 100;
/** Amplitude from which flicker is mentioned: at 1/500 it may cost 0.007 EV. Common practice, no source. */
const LEAST_FLICKER = 0.005;
/**
 * So many times the mean power of the noise in one block are a matter of chance in one of a million: the
 * power is distributed exponentially and exp(−14) = 0.8·10⁻⁶. The mean of n blocks scatters less by √n.
 */
const CHANCE = 14;
/** A drift needs this many blocks, 0.2 s, … */
const LEAST_DRIFT_BLOCKS = 4;
/** … must be this large, as a share of the open level, … */
const LEAST_DRIFT = 0.01;
/** … and this many times its standard uncertainty. */
const DRIFT_SIGNIFICANCE = 5;

/** The open part of an exposure without its edges, in samples, and its levels in codes. */
export interface OpenStretch {
  readonly from: number;
  readonly to: number;
  readonly height: number;
  /** Standard deviation of one sample. */
  readonly noise: number;
}

/** Remarks on flicker (at least 50 ms of open light) and on drift (at least 0.2 s). */
export function lightUnrest(curve: LightCurve, stretch: OpenStretch, secondsPerSample: number): Remark[] {
  const block = Math.round(BLOCK_SECONDS / secondsPerSample);
  const blocks = Math.floor((stretch.to - stretch.from) / block);
  if (!(blocks >= 1)) return [];
  // What doesn't fill a block is left out at both ends alike.
  const spare = stretch.to - stretch.from - blocks * block;
  const from = Math.ceil(stretch.from + spare / 2);
  const starts = Array.from({ length: blocks }, (_, i) => from + i * block);
  const remarks = [
    flicker(curve, starts, block, stretch, secondsPerSample),
    drift(curve, starts, block, stretch),
  ];
  return remarks.filter((remark) => remark !== null);
}

function flicker(
  curve: LightCurve,
  starts: readonly number[],
  block: number,
  { height, noise }: OpenStretch,
  secondsPerSample: number,
): Remark | null {
  const power = (hertz: number) => meanPower(curve, starts, block, hertz, secondsPerSample);
  const beside = BESIDE.reduce((sum, hertz) => sum + power(hertz), 0) / BESIDE.length;
  // White noise gives each frequency of a block 4σ²/n.
  const floor = Math.max(beside, (4 * noise * noise) / block);
  const least = floor * (1 + (CHANCE - 1) / Math.sqrt(starts.length));
  const [at100, at120] = [power(100), power(120)];
  const strongest = Math.max(at100, at120);
  if (strongest < least) return null;
  const amplitude = Math.sqrt(strongest - floor) / height;
  if (amplitude < LEAST_FLICKER) return null;
  return { code: `flicker ${at100 >= at120 ? FLICKER[0] : FLICKER[1]} Hz`, value: amplitude };
}

/** Mean over the blocks of the squared amplitude at one frequency, in codes². */
function meanPower(
  curve: LightCurve,
  starts: readonly number[],
  block: number,
  hertz: number,
  secondsPerSample: number,
): number {
  const perPoint = block / POINTS_PER_BLOCK;
  const turn = 2 * Math.PI * hertz * secondsPerSample * perPoint;
  const cosines = Float64Array.from({ length: POINTS_PER_BLOCK }, (_, i) => Math.cos(turn * (i + 0.5)));
  const sines = Float64Array.from({ length: POINTS_PER_BLOCK }, (_, i) => Math.sin(turn * (i + 0.5)));
  // A point is a mean over its samples, which takes a little off a vibration.
  const kept = Math.sin(turn / 2) / (turn / 2);
  let total = 0;
  for (const start of starts) {
    const level = curve.mean(start, start + block);
    let real = 0;
    let imaginary = 0;
    for (let i = 0; i < POINTS_PER_BLOCK; i++) {
      const first = start + Math.round(i * perPoint);
      const value = curve.mean(first, start + Math.round((i + 1) * perPoint)) - level;
      real += value * cosines[i]!;
      imaginary += value * sines[i]!;
    }
    total += (real * real + imaginary * imaginary) * (2 / POINTS_PER_BLOCK / kept) ** 2;
  }
  return total / starts.length;
}

/** A straight line through the means of the blocks, in which flicker averages out. */
function drift(
  curve: LightCurve,
  starts: readonly number[],
  block: number,
  { from, to, height, noise }: OpenStretch,
): Remark | null {
  const n = starts.length;
  if (n < LEAST_DRIFT_BLOCKS) return null;
  const means = starts.map((start) => curve.mean(start, start + block));
  const middle = (n - 1) / 2;
  const level = means.reduce((sum, mean) => sum + mean, 0) / n;
  const sxx = (n * (n * n - 1)) / 12;
  const slope = means.reduce((sum, mean, i) => sum + (i - middle) * (mean - level), 0) / sxx;
  const residual = means.reduce((sum, mean, i) => sum + (mean - level - slope * (i - middle)) ** 2, 0);
  const scatter = Math.max(Math.sqrt(residual / (n - 2)), noise / Math.sqrt(block));
  if (Math.abs(slope) < (DRIFT_SIGNIFICANCE * scatter) / Math.sqrt(sxx)) return null;
  const change = (slope * ((to - from) / block)) / height;
  return Math.abs(change) < LEAST_DRIFT ? null : { code: 'light drifts', value: change };
}
