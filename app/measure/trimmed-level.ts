/** The level that most samples of a stretch stand at, and their scatter about it. */
interface TrimmedLevel {
  /** Codes; NaN when there was no sample. */
  readonly mean: number;
  /** Standard deviation of one sample, in codes, corrected for the trimming; at least 1/√12. */
  readonly sd: number;
  /** Samples that were kept. */
  readonly count: number;
}

/** Standard deviation of a value rounded to whole steps: below it a converter's codes say nothing. */
export const QUANTISATION_SD = 1 / Math.sqrt(12);

/** Samples further away than this many standard deviations don't count. */
const TRIM_AT = 4;
/** Share of a normal distribution's variance that lies within ± TRIM_AT: 1 − 2zφ(z)/(2Φ(z) − 1), z = 4. */
const VARIANCE_KEPT = 0.99893;

/**
 * Trimmed mean and standard deviation about the mode of values[from] … values[to − 1], which lie between
 * 0 and the highest code. Trimming leaves out spikes and the foot of an edge; a median of whole codes
 * could be wrong by half a step, this mean is not. Bins are one code wide; a value that is no whole code
 * counts in its bin with its true size. Cost: one pass over the samples.
 */
export function trimmedLevel(values: ArrayLike<number>, from: number, to: number): TrimmedLevel {
  const bins = 256;
  const counts = new Uint32Array(bins);
  const sums = new Float64Array(bins);
  const squares = new Float64Array(bins);
  if (values instanceof Uint8Array) {
    for (let i = from; i < to; i++) counts[values[i]!]!++;
    for (let code = 0; code < bins; code++) {
      sums[code] = counts[code]! * code;
      squares[code] = counts[code]! * code * code;
    }
  } else {
    for (let i = from; i < to; i++) {
      const value = values[i]!;
      const bin = Math.min(Math.max(Math.floor(value), 0), bins - 1);
      counts[bin]!++;
      sums[bin]! += value;
      squares[bin]! += value * value;
    }
  }
  let mode = 0;
  for (let bin = 1; bin < bins; bin++) if (counts[bin]! > counts[mode]!) mode = bin;
  if (counts[mode] === 0) return { mean: Number.NaN, sd: QUANTISATION_SD, count: 0 };

  let low = mode - 3;
  let high = mode + 3;
  let result: TrimmedLevel = { mean: mode, sd: QUANTISATION_SD, count: 0 };
  // The window settles after two or three rounds; wide scatter lets it grow by a factor each time.
  for (let round = 0; round < 16; round++) {
    let count = 0;
    let sum = 0;
    let square = 0;
    for (let bin = Math.max(low, 0); bin <= Math.min(high, bins - 1); bin++) {
      count += counts[bin]!;
      sum += sums[bin]!;
      square += squares[bin]!;
    }
    const mean = sum / count;
    const variance = Math.max(square / count - mean * mean, 0) / VARIANCE_KEPT;
    const sd = Math.max(Math.sqrt(variance), QUANTISATION_SD);
    result = { mean, sd, count };
    const reach = Math.max(TRIM_AT * sd, 2);
    const nextLow = Math.floor(mean - reach);
    const nextHigh = Math.ceil(mean + reach);
    if (nextLow === low && nextHigh === high) break;
    low = nextLow;
    high = nextHigh;
  }
  return result;
}
