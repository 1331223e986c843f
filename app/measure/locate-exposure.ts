import type { LightCurve } from './light-curve.ts';
import { trimmedLevel } from './trimmed-level.ts';

/** Where the exposure roughly lies; every exact instant is searched for from here. Positions in samples. */
export interface ExposureSpan {
  /** Rough dark level and noise, in codes. */
  readonly dark: number;
  readonly noise: number;
  /** Highest light, as a mean of five samples, above dark. */
  readonly peak: number;
  /** First and last sample at or above half of that peak. */
  readonly up: number;
  readonly down: number;
  /** Light lies within these: before `from` it has not begun, from `to` on it has gone for good or to rebound. */
  readonly from: number;
  readonly to: number;
  /** The light goes on to the record's end. */
  readonly open: boolean;
  /** The light was there from the record's start. */
  readonly started: boolean;
}

/** Light below this share of the peak has gone; a blade that doesn't shut lets less than that through. */
const GONE_SHARE = 0.06;
/** Light must have gone for this long to count as closed. */
const GONE_SECONDS = 0.0004;

/**
 * The first opening in the record that reaches half of the highest light. Null when nothing rises above
 * the noise. What comes after it has closed (rebound) is not looked at.
 */
export function locateExposure(curve: LightCurve, secondsPerSample: number): ExposureSpan | null {
  const n = curve.length;
  if (n < 16) return null;
  // The record begins and ends in the dark, if only for a moment; the darker end is the safer guess.
  const edge = Math.min(Math.max(Math.round(0.01 / secondsPerSample), 8), n >> 2);
  const head = trimmedLevel(curve.values, 0, edge);
  const tail = trimmedLevel(curve.values, n - edge, n);
  const { mean: dark, sd: noise } = tail.mean < head.mean ? tail : head;

  const peak = curve.highestMean(0, n, 5) - dark;
  if (peak < Math.max(4 * noise, 2)) return null;

  const half = dark + peak / 2;
  const low = dark + Math.max(GONE_SHARE * peak, 4 * noise);
  let up = 2;
  while (curve.mean(up - 2, up + 3) < half) up++;
  let from = up;
  while (from > 0 && curve.mean(from - 2, from + 3) > low) from--;

  const width = Math.max(5, Math.round(GONE_SECONDS / secondsPerSample));
  const to = curve.firstBelow(up, width, low);
  let down = Math.min(to, n - 1);
  while (down > up && curve.mean(down - 2, down + 3) < half) down--;
  return { dark, noise, peak, up, down, from, to, open: to >= n, started: from === 0 };
}
