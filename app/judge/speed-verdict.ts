import type { Stops } from '../../firmware-protocol/units.ts';
import type { Band, MarkedSpeed, SpeedStatistics, Verdict } from './verdict.ts';

/** What the user recorded for a mark instead of firings. */
export type RecordedOutcome = Extract<Verdict, 'did not fire' | 'stuck open' | 'not tried'>;

export interface SpeedToJudge {
  readonly mark: Pick<MarkedSpeed, 'marked'>;
  readonly statistics: Pick<SpeedStatistics, 'n' | 'meanError'>;
  readonly outcome: RecordedOutcome | null;
  readonly band: Band;
  /** Least number of counted firings a verdict may rest on. */
  readonly least: number;
}

/**
 * Both limits belong to the band. The allowance covers the rounding of a logarithm, so that a mean that
 * stands on a limit is within it; a billionth of a stop is far below anything a shutter or a clock shows.
 */
const ROUNDING = 1e-9;

/**
 * Simple acceptance of the mean error (ILAC-G8:09/2019, guard band w = 0).
 *
 * A recorded 'did not fire' or 'stuck open' outweighs firings that went well, because their mean would hide
 * it. 'Not tried' is void once a firing counts. Never a verdict on the time below the least number.
 */
export function speedVerdict({ mark, statistics, outcome, band, least }: SpeedToJudge): Verdict {
  if (outcome === 'did not fire' || outcome === 'stuck open') return outcome;
  if (outcome === 'not tried' && statistics.n === 0) return outcome;
  if (mark.marked === null) return 'no time';
  if (statistics.n < least || statistics.meanError === null) return 'too few';
  return bandVerdict(statistics.meanError, band);
}

/** Where one error stands against a band: also for a single firing. */
export function bandVerdict(error: Stops, band: Band): Extract<Verdict, 'within' | 'slow' | 'fast'> {
  if (error > band.upper + ROUNDING) return 'slow';
  if (error < band.lower - ROUNDING) return 'fast';
  return 'within';
}
