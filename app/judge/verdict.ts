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

/** From – to, both in stops. */
export type Interval = Band;

/** How the measurement uncertainty enters a verdict (ILAC-G8:09/2019): not at all (w = 0), or w = U. */
export type DecisionRule = 'simple' | 'guard band';

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
  /** 95 % interval of the mean error (Student t); null when n < 2 or the mark has no time. */
  readonly meanInterval: Interval | null;
  /** 95 % interval of the standard deviation (chi-square); null when n < 2. */
  readonly sdInterval: Interval | null;
  /** In which the error of the next firing falls with 95 % (predictive t); null when n < 2 or the mark has no time. */
  readonly nextInterval: Interval | null;
  /** The firing that lies suspiciously far out, if one does. It counts nevertheless. */
  readonly suspect: 'fastest' | 'slowest' | null;
}

/** One line of an uncertainty budget after the GUM, all in stops of the time. */
export interface BudgetLine {
  readonly source:
    | 'repeatability'
    | 'clock tolerance'
    | 'clock temperature'
    | 'clock ageing'
    | 'clock check'
    | 'clock warm-up'
    | "computer's clock"
    | 'open level'
    | 'lamp drift'
    | 'truncation'
    | 'linearity'
    | 'geometry';
  /** How it was evaluated: from the firings (A) or otherwise (B). */
  readonly type: 'A' | 'B';
  readonly distribution: 'normal' | 'rectangular';
  /** Limits ± of a rectangular distribution; null for a normal one. */
  readonly halfWidth: Stops | null;
  /** Standard uncertainty of the mean error. */
  readonly u: Stops;
  /** Degrees of freedom; Infinity for a type B line. */
  readonly dof: number;
  /** One sentence: where the value comes from. */
  readonly origin: string;
}

export interface Budget {
  readonly lines: readonly BudgetLine[];
  readonly combined: Stops;
  /** Effective degrees of freedom (Welch–Satterthwaite); may be Infinity. */
  readonly dof: number;
  /** Coverage factor for 95 %. */
  readonly k: number;
  /** U = k · combined. */
  readonly expanded: Stops;
  /** What nobody has stated and U therefore does not hold. */
  readonly notStated: readonly ('geometry' | 'linearity' | 'threshold')[];
}

export type Verdict =
  | 'within'
  | 'slow' // beyond the upper limit
  | 'fast' // beyond the lower limit
  // Under the rule with a guard band 'within', 'slow' and 'fast' mean: by more than the guard band.
  | 'conditional pass' // within, but nearer to a limit than U
  | 'conditional slow' // beyond the upper limit by no more than U: conditional fail
  | 'conditional fast'
  | 'undecided' // U takes up the whole band: no mean could pass
  | 'too few' // under the least number of firings
  | 'did not fire'
  | 'stuck open'
  | 'not tried'
  | 'no time'; // B and T: nothing to compare with

/** Whether the shutter repeats, a statement of its own beside the verdict on the mean. */
export type SpreadVerdict = 'steady' | 'erratic' | 'too few' | 'no limit';

/** What is said of one mark. */
export interface SpeedJudgement {
  readonly verdict: Verdict;
  readonly spread: SpreadVerdict;
  /** Probability that the true mean error lies in the band (JCGM 106); null where nothing is compared. */
  readonly conformity: number | null;
  /** Probability that the next firing falls in the band (predictive t); null when n < 2. */
  readonly nextShot: number | null;
  /** How many firings it would take to decide, for 'undecided'; null otherwise, or if no number would do. */
  readonly firingsNeeded: number | null;
}
