/**
 * Count, mean and sum of squared deviations, kept up to date one value at a time at constant cost.
 * Welford's update (B. P. Welford, Technometrics 4 (1962) 419; from memory): it never forms the sum of squares, whose
 * difference from n·mean² loses all its digits when the spread is small beside the mean.
 */
export interface Moments {
  readonly n: number;
  readonly mean: number;
  /** Σ (x − mean)². */
  readonly squares: number;
}

export const NO_MOMENTS: Moments = { n: 0, mean: 0, squares: 0 };

export function addValue({ n, mean, squares }: Moments, value: number): Moments {
  const step = value - mean;
  const newMean = mean + step / (n + 1);
  return { n: n + 1, mean: newMean, squares: squares + step * (value - newMean) };
}

/** Sample standard deviation (divisor n − 1), in the unit of the values; null under two values. */
export function standardDeviation({ n, squares }: Moments): number | null {
  return n < 2 ? null : Math.sqrt(squares / (n - 1));
}
