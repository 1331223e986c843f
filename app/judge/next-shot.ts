import studentCdf from '@stdlib/stats-base-dists-t-cdf';
import { bandVerdict } from './speed-verdict.ts';
import type { Band, SpeedStatistics } from './verdict.ts';

/**
 * Next-shot odds: the probability, 0 to 1, that the error of the next firing falls in the band, by the predictive t
 * distribution: mean, s·√(1 + 1/n), n − 1 degrees of freedom. Null under two firings, or without a reference.
 *
 * It takes the firings as normal in stops and holds the shutter's own scatter only, not the uncertainty of
 * clock, light or geometry. Firings that all gave the very same time promise the same again.
 */
export function nextShotOdds(
  { n, meanError, sd }: Pick<SpeedStatistics, 'n' | 'meanError' | 'sd'>,
  band: Band,
): number | null {
  if (n < 2 || meanError === null || sd === null) return null;
  if (sd === 0) return bandVerdict(meanError, band) === 'within' ? 1 : 0;
  const scale = sd * Math.sqrt(1 + 1 / n);
  const upTo = (limit: number) => studentCdf((limit - meanError) / scale, n - 1);
  return Math.max(0, upTo(band.upper) - upTo(band.lower));
}
