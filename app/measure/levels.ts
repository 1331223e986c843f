/** The levels a firing is measured between: dark, and fully open. In codes. */
import type { LightCurve } from './light-curve.ts';
import type { ExposureSpan } from './locate-exposure.ts';
import { QUANTISATION_SD, trimmedLevel } from './trimmed-level.ts';

/** Two and a half periods of 20 ms mains and three of 16.7 ms: lamp flicker averages out over a block. */
export const DARK_BLOCK_SECONDS = 0.05;
/** Light within this time after closing is rebound; dark is taken behind it. */
export const REBOUND_SECONDS = 0.06;
/** Dark keeps at least this far from the edge, for light too faint to be found. */
const EDGE_MARGIN_SECONDS = 0.001;

export interface DarkLevel {
  readonly mean: number;
  /** Standard deviation of one sample. */
  readonly noise: number;
  /** Samples that mean and noise rest on. */
  readonly samples: number;
  /** The light after closing stays above dark by this much (a blade not shut); 0 if it doesn't. */
  readonly glow: number;
}

/**
 * Dark before the exposure and, where the record goes on past the rebound window, after it, each in whole
 * 50 ms blocks if there is one. Before and after count alike, so that a steady drift cancels.
 */
export function darkLevel(curve: LightCurve, span: ExposureSpan, secondsPerSample: number): DarkLevel {
  const block = Math.round(DARK_BLOCK_SECONDS / secondsPerSample);
  const margin = Math.round(EDGE_MARGIN_SECONDS / secondsPerSample);
  // The faint foot of a slow edge reaches further out than its visible part.
  const beforeEnd = Math.max(span.from - margin - (span.up - span.from), 0);
  const before = wholeBlocks(beforeEnd, block);
  const afterStart = span.to + Math.round(REBOUND_SECONDS / secondsPerSample) + margin;
  const after = wholeBlocks(curve.length - afterStart, block);

  const early = trimmedLevel(curve.values, beforeEnd - before, beforeEnd);
  const late = trimmedLevel(curve.values, curve.length - after, curve.length);
  if (early.count === 0) {
    const fallback = late.count > 0 ? late : { mean: span.dark, sd: span.noise, count: 0 };
    return { mean: fallback.mean, noise: fallback.sd, samples: fallback.count, glow: 0 };
  }
  if (after < block) return { mean: early.mean, noise: early.sd, samples: early.count, glow: 0 };
  const difference = late.mean - early.mean;
  if (difference > Math.max(0.01 * span.peak, early.sd)) {
    return { mean: early.mean, noise: early.sd, samples: early.count, glow: difference };
  }
  const samples = early.count + late.count;
  if (before < block) {
    const mean = (early.mean * early.count + late.mean * late.count) / samples;
    return { mean, noise: late.sd, samples, glow: 0 };
  }
  const noise = Math.sqrt((early.sd ** 2 * early.count + late.sd ** 2 * late.count) / samples);
  return { mean: (early.mean + late.mean) / 2, noise, samples, glow: 0 };
}

/** As many samples as fit in whole blocks; all there are if they don't fill one. */
function wholeBlocks(available: number, block: number): number {
  if (available <= 0) return 0;
  return available < block ? available : available - (available % block);
}

export interface Plateau {
  readonly level: number;
  /** Standard uncertainty of the level. */
  readonly uncertainty: number;
  /** First sample, and the one behind the last. */
  readonly from: number;
  readonly to: number;
}

/** Fewer flat samples than this may be the top of a curve that never was flat. */
const MIN_PLATEAU_SAMPLES = 20;
/** Running mean in which the plateau's ends are looked for. */
const SEARCH_WIDTH = 8;
/** An open time longer than one period of lamp flicker may ripple and sag; its mean is still the open level. */
const RIPPLE_SECONDS = 0.02;
const SAG_ALLOWED = 0.02;
const RIPPLE_ALLOWED = 0.03;

/**
 * The stretch in which the blades stand fully open: the longest one at the exposure's top that is flat to
 * the noise. Null when there is none of at least 20 samples (a fast leaf shutter may never open fully).
 * The slow end of an edge is kept out: the stretch begins and ends where the running mean comes within
 * its own noise of the level.
 */
export function findPlateau(
  curve: LightCurve,
  span: ExposureSpan,
  noise: number,
  secondsPerSample: number,
): Plateau | null {
  const width = SEARCH_WIDTH;
  const { up, down } = span;
  let level = curve.highestMean(up, down + 1, MIN_PLATEAU_SAMPLES);
  if (level === Number.NEGATIVE_INFINITY) return null;

  const long = (down - up) * secondsPerSample >= RIPPLE_SECONDS;
  const tolerance = (3 * noise) / Math.sqrt(width) + (long ? SAG_ALLOWED * span.peak : 0);
  let from = 0;
  let to = 0;
  let sd = 0;
  let count = 0;
  for (let round = 0; round < 5; round++) {
    let first = up;
    while (first + width <= down && curve.mean(first, first + width) < level - tolerance) first++;
    let last = down + 1;
    while (last - width > first && curve.mean(last - width, last) < level - tolerance) last--;
    // A few samples more or less at a long stretch's ends move its level by nothing.
    const settled = Math.abs(first - from) + Math.abs(last - to) <= 0.001 * (last - first);
    from = first;
    to = last;
    if (settled) break;
    ({ mean: level, sd, count } = trimmedLevel(curve.values, from, to));
  }
  // The running mean lets in a sample or two of the edge, or several of a slow one.
  const foot = level - 2.5 * noise;
  from++;
  to--;
  while (from < to && curve.values[from]! < foot) from++;
  while (from < to && curve.values[to - 1]! < foot) to--;
  if (to - from < MIN_PLATEAU_SAMPLES) return null;
  ({ mean: level, sd, count } = trimmedLevel(curve.values, from, to));
  const flat = 1.5 * noise + (long ? RIPPLE_ALLOWED * span.peak : 0);
  if (sd > flat || count < 0.9 * (to - from)) return null;
  return { level, uncertainty: Math.max(sd, QUANTISATION_SD) / Math.sqrt(count), from, to };
}

/** A short flat top lower than this share of the reference is a shutter that stopped short of full opening. */
const REFERENCE_SHARE = 0.98;
/** A flat top this long is the blades' rest position: then the light has changed, not the stroke. */
const LONG_PLATEAU_SECONDS = 0.05;

/** Whether a flat top stands for the full opening, in view of the reference's height in codes, if one is held. */
export function isFullyOpen(
  plateau: Plateau,
  dark: number,
  reference: number | null,
  secondsPerSample: number,
): boolean {
  if (reference === null) return true;
  if ((plateau.to - plateau.from) * secondsPerSample >= LONG_PLATEAU_SECONDS) return true;
  return plateau.level - dark >= REFERENCE_SHARE * reference;
}
