/**
 * Whether one firing of a mark lies suspiciously far from the others. It is marked, never dropped: a shutter
 * that misfires once in ten has said something about itself.
 */
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Stops, stops } from '../../firmware-protocol/units.ts';

/** Share of the marks of a good shutter, normal in stops, that Grubbs' test alone would call suspect. */
export const OUTLIER_LEVEL = 0.05;

/**
 * How far the firing must lie from the mean of the others besides. A firing nearer than this moves the mean
 * of three by less than 0.034 stop, a tenth of the narrowest band that is offered (±1/3): not worth a question,
 * however well the others agree. Our own choice.
 */
export const OUTLIER_LEAST_DISTANCE = stops(0.1);

/** Under three firings none can be the odd one. */
const LEAST_FIRINGS = 3;

/** Two ends that are equally far out by this much are a tie: a mean is not known better than its rounding. */
const ROUNDING = 1e-9;

export interface Spread {
  readonly n: number;
  readonly mean: Stops;
  readonly sd: Stops;
  readonly least: Stops;
  readonly greatest: Stops;
}

/**
 * Grubbs' two-sided test for one outlier at OUTLIER_LEVEL, with a least distance (F. E. Grubbs, Technometrics 11
 * (1969) 1). Of two ends equally far out it names the greater.
 *
 * With three firings it can name only a stray beside two that agree some thirty times better, since no value
 * of three can lie more than 1.1547 s from their mean and 1.1543 s is critical. With few firings two strays hide
 * each other, at any number: only one is looked for.
 */
export function suspectedOutlier({ n, mean, sd, least, greatest }: Spread): 'least' | 'greatest' | null {
  if (n < LEAST_FIRINGS || sd === 0) return null;
  const below = mean - least;
  const above = greatest - mean;
  const distance = Math.max(below, above);
  // The others' mean lies as much on the far side of the common one as this one firing has pulled it over.
  const fromTheOthers = (distance * n) / (n - 1);
  if (fromTheOthers < OUTLIER_LEAST_DISTANCE || distance / sd <= grubbsCriticalValue(n)) return null;
  return above > below - ROUNDING ? 'greatest' : 'least';
}

/**
 * What max |x − mean|/s of n normal values exceeds with the probability `level`; n is 3 or more. By the t quantile
 * at level/2n with n − 2 degrees of freedom: at 5 % exact up to 13 values, of which no two can lie that far out at
 * once, and a hair too careful beyond.
 */
export function grubbsCriticalValue(n: number, level = OUTLIER_LEVEL): number {
  const t = studentQuantile(1 - level / (2 * n), n - 2);
  return ((n - 1) / Math.sqrt(n)) * Math.sqrt(t ** 2 / (n - 2 + t ** 2));
}
