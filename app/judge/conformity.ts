import normalCdf from '@stdlib/stats-base-dists-normal-cdf';
import tCdf from '@stdlib/stats-base-dists-t-cdf';
import type { Stops } from '../../firmware-protocol/units.ts';
import { bandVerdict } from './speed-verdict.ts';
import type { Band } from './verdict.ts';

export interface ToConform {
  /** Mean error. */
  readonly estimate: Stops;
  /** Its combined standard uncertainty. */
  readonly u: Stops;
  /** Effective degrees of freedom, at least 1; Infinity for a normal distribution. */
  readonly dof: number;
  /** ±Infinity for a side without a limit. */
  readonly band: Band;
}

/**
 * Probability, 0 to 1, that the true value lies in the band, given the estimate and nothing else known
 * before (JCGM 106:2012, 7): the normal distribution about the estimate between the limits, or the t
 * distribution scaled by u where u rests on a finite number of firings (JCGM 101:2008, 6.4.9). With u = 0
 * it is 1 in the band and 0 outside.
 */
export function conformityProbability({ estimate, u, dof, band }: ToConform): number {
  if (u === 0) return bandVerdict(estimate, band) === 'within' ? 1 : 0;
  const cdf = (z: number) => (dof === Number.POSITIVE_INFINITY ? normalCdf(z, 0, 1) : tCdf(z, dof));
  return Math.max(cdf((band.upper - estimate) / u) - cdf((band.lower - estimate) / u), 0);
}
