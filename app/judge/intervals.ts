/**
 * What a few firings say of the shutter behind them: 95 % intervals of its mean error, of its spread and of
 * its next firing. They take the firings as independent and normal in stops. All in stops.
 */
import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { Interval } from './verdict.ts';

/** Share of such intervals that hold the true value. */
const CONFIDENCE = 0.95;
/** What is left out on either side. */
const TAIL = (1 - CONFIDENCE) / 2;

/** A sample of at least two firings: intervals of fewer don't exist. */
export interface Sample {
  readonly n: number;
  readonly mean: Stops;
  /** Sample standard deviation, divisor n − 1. */
  readonly sd: Stops;
}

/** Of the mean error, by Student's t with n − 1 degrees of freedom: mean ± t·s/√n. It shrinks as firings are added. */
export function meanInterval(sample: Sample): Interval {
  return studentInterval(sample, Math.sqrt(1 / sample.n));
}

/**
 * In which the error of the next firing falls: mean ± t·s·√(1 + 1/n), the predictive t distribution with n − 1
 * degrees of freedom. It tends to ±1.96 of the shutter's own spread and not to nothing.
 */
export function nextInterval(sample: Sample): Interval {
  return studentInterval(sample, Math.sqrt(1 + 1 / sample.n));
}

/**
 * Of the standard deviation, by chi-square with n − 1 degrees of freedom: s·√((n − 1)/χ²). Far from symmetrical
 * for few firings: three give 0.52·s to 6.28·s.
 */
export function sdInterval({ n, sd }: Pick<Sample, 'n' | 'sd'>): Interval {
  const limit = (tail: 'lower' | 'upper') => stops(sd * Math.sqrt((n - 1) / chiSquare(tail, n - 1)));
  return { lower: limit('upper'), upper: limit('lower') };
}

function studentInterval({ n, mean, sd }: Sample, factor: number): Interval {
  const half = studentQuantile(1 - TAIL, n - 1) * sd * factor;
  return { lower: stops(mean - half), upper: stops(mean + half) };
}

/**
 * Degrees of freedom up to which the package's chi-square quantile is exact. Its upper tail breaks off a series
 * beyond some 1,500: at 2,000 and 0.975 it gives 2126.17 for 2125.84 and takes ever longer. The cube by Wilson
 * and Hilferty (Proc. Natl. Acad. Sci. 17 (1931) 684; from memory) is within 2·10⁻⁶ of the truth from 1,000 on.
 */
const EXACT_UP_TO = 1000;
/** Normal quantile of 1 − TAIL. */
const NORMAL = 1.959963984540054;

/** Chi-square value that leaves TAIL below it ('lower') or above it ('upper'). */
function chiSquare(tail: 'lower' | 'upper', dof: number): number {
  if (dof <= EXACT_UP_TO) return chiSquareQuantile(tail === 'lower' ? TAIL : 1 - TAIL, dof);
  const variance = 2 / (9 * dof);
  const deviate = tail === 'lower' ? -NORMAL : NORMAL;
  return dof * (1 - variance + deviate * Math.sqrt(variance)) ** 3;
}
