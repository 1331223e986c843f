import { type Stops, stops } from '../../firmware-protocol/units.ts';
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
  /** Width w of the guard band inside each limit: 0 for simple acceptance; null when it can't be had yet. */
  readonly guard: Stops | null;
}

type ErrorVerdict = Exclude<Verdict, RecordedOutcome | 'too few' | 'no time'>;

/**
 * Both limits belong to the band. The allowance covers the rounding of a logarithm, so that a mean that
 * stands on a limit is within it; a billionth of a stop is far below anything a shutter or a clock shows.
 */
const ROUNDING = 1e-9;

/**
 * Verdict on the mean error by the guard band w (ILAC-G8:09/2019; w = 0 is simple acceptance).
 *
 * A recorded 'did not fire' or 'stuck open' outweighs firings that went well, because their mean would hide
 * it. 'Not tried' is void once a firing counts. Never a verdict on the time below the least number, nor
 * where the rule asks for a guard band and there are too few firings to know its width.
 */
export function speedVerdict({ mark, statistics, outcome, band, least, guard }: SpeedToJudge): Verdict {
  if (outcome === 'did not fire' || outcome === 'stuck open') return outcome;
  if (outcome === 'not tried' && statistics.n === 0) return outcome;
  if (mark.marked === null) return 'no time';
  if (statistics.n < least || statistics.meanError === null || guard === null) return 'too few';
  return errorVerdict(statistics.meanError, band, guard);
}

/**
 * The zones of ILAC-G8 from either limit, each side of the band by itself: pass as far as the limit less w,
 * conditional pass to the limit, conditional fail to the limit plus w, fail beyond. Where the guard bands
 * meet there is no zone left in which a mean could pass, and nothing short of a plain fail is decided.
 */
function errorVerdict(error: Stops, band: Band, guard: Stops): ErrorVerdict {
  if (error > band.upper + guard + ROUNDING) return 'slow';
  if (error < band.lower - guard - ROUNDING) return 'fast';
  if (!hasPassZone(band, guard)) return 'undecided';
  if (error > band.upper + ROUNDING) return 'conditional slow';
  if (error < band.lower - ROUNDING) return 'conditional fast';
  const passes = error <= band.upper - guard + ROUNDING && error >= band.lower + guard - ROUNDING;
  return passes ? 'within' : 'conditional pass';
}

/** Whether guard bands of this width leave room between them. */
export const hasPassZone = ({ lower, upper }: Band, guard: Stops): boolean =>
  2 * guard <= upper - lower + ROUNDING;

/** Where one error stands against a band, by simple acceptance: for a single firing. */
export function bandVerdict(error: Stops, band: Band): Extract<Verdict, 'within' | 'slow' | 'fast'> {
  return errorVerdict(error, band, stops(0)) as 'within' | 'slow' | 'fast';
}
