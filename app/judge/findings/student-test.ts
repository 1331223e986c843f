/** Means with spreads of their own, and probabilities by Student's t. */
import normalCdf from '@stdlib/stats-base-dists-normal-cdf';
import tCdf from '@stdlib/stats-base-dists-t-cdf';

/** A variance and the degrees of freedom it rests on; infinite for one that is taken as known. */
export interface Variance {
  readonly variance: number;
  readonly dof: number;
}

/** Beyond this, Student's t is the normal distribution to twelve digits of any probability that matters here. */
const AS_GOOD_AS_NORMAL = 1e7;

/**
 * Variance of Σ weight · mean and its effective degrees of freedom by Welch–Satterthwaite (JCGM 100:2008, G.4).
 * At least one term.
 */
export function combinedVariance(terms: readonly (Variance & { readonly weight: number })[]): Variance {
  let variance = 0;
  let share = 0;
  for (const { weight, variance: own, dof } of terms) {
    const part = weight * weight * own;
    variance += part;
    if (Number.isFinite(dof)) share += (part * part) / dof;
  }
  return { variance, dof: share === 0 ? Number.POSITIVE_INFINITY : (variance * variance) / share };
}

/** Probability of a value at least so far above zero if the truth is zero. A spread of zero leaves no doubt. */
export function upperTail(value: number, { variance, dof }: Variance): number {
  if (!(variance > 0)) return value > 0 ? 0 : 1;
  const t = value / Math.sqrt(variance);
  return dof > AS_GOOD_AS_NORMAL ? normalCdf(-t, 0, 1) : tCdf(-t, dof);
}

/** Probability of a value at least so far from zero, either way, if the truth is zero. */
export const bothTails = (value: number, of: Variance): number =>
  Math.min(1, 2 * upperTail(Math.abs(value), of));

/** Probability that one of so many such chances comes up, at most (Bonferroni). */
export const amongTrials = (probability: number, trials: number): number => Math.min(1, probability * trials);
