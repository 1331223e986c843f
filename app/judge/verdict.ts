/** Types that the rest of the house sees of judge; the functions stand beside them. */
import type { Seconds, Stops } from '../../firmware-protocol/units.ts';

/** A mark on the speed ring. B and T are members of a series without a time. */
export interface MarkedSpeed {
  /** As engraved: '1/60', '2', 'B'. Unique within its series. */
  readonly label: string;
  /** Time as engraved (1/60 → 16.667 ms); null for B and T. */
  readonly marked: Seconds | null;
  /** Time the mark stands for in the exact doubling series of ISO 516 (1/60 → 1/64 s); null where it has none. */
  readonly exact: Seconds | null;
}

export interface Series {
  readonly id: string;
  readonly name: string;
  readonly speeds: readonly MarkedSpeed[];
}

/** Which time a mark is compared with: the engraved one or the exact series behind it. */
export type ReferenceRule = 'marked' | 'exact';

/** Limits of the mean error, in stops: lower ≤ e ≤ upper. Lower is negative for a band around zero. */
export interface Band {
  readonly lower: Stops;
  readonly upper: Stops;
}

/** Running statistics of one mark, in stops against its reference and as times. */
export interface SpeedStatistics {
  readonly n: number;
  /** Mean error in stops (computed in log2 of time); null when n = 0 or the mark has no time. */
  readonly meanError: Stops | null;
  /** 2^meanError times the reference: the geometric mean of the firings. */
  readonly meanTime: Seconds | null;
  readonly median: Seconds | null;
  readonly fastest: Seconds | null;
  readonly slowest: Seconds | null;
  /** Sample standard deviation in stops; null when n < 2. */
  readonly sd: Stops | null;
  /** Slowest against fastest, in stops. */
  readonly range: Stops | null;
  /** Coefficient of variation of the times, in percent; null when n < 2. */
  readonly cv: number | null;
}

export type Verdict =
  | 'within'
  | 'slow' // beyond the upper limit
  | 'fast' // beyond the lower limit
  | 'too few' // under the least number of firings
  | 'did not fire'
  | 'stuck open'
  | 'not tried'
  | 'no time'; // B and T: nothing to compare with
