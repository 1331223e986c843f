/** What the readings suggest: a likely cause, with the numbers that led to it. Never a certainty. */

import type { Seconds } from '../../firmware-protocol/units.ts';
import type { Figures } from '../measure/figures.ts';
import type { ShutterProfile } from './set-up.ts';
import type { RecordedOutcome } from './speed-verdict.ts';

export type FindingCode =
  | 'governor engagement' // governed marks off by about the same milliseconds
  | 'escapement' // governed marks off by the same ratio
  | 'pallet' // only the marks that use the pallet off
  | 'governor bypassed' // governed marks all far too short
  | 'slow marks erratic'
  | 'gummed lubricant' // first firing after a rest long, the next ones good
  | 'blade drag' // fast marks slow, opening long, efficiency low or a low peak
  | 'one mark off'
  | 'neighbours equal' // by an equivalence test
  | 'order inverted'
  | 'blade rebound'
  | 'steady glow' // a blade not closed
  | 'all marks off'
  | 'drift over the series'
  | 'bench and body differ'
  | 'B or T hangs';

/** A firing as findings need it; a row of the record gives it. */
export interface FindingReading {
  readonly id: string;
  readonly ordinal: number;
  /** Judged time; null where none could be had (never closed, spoilt …). */
  readonly time: Seconds | null;
  /** Enters the statistics. */
  readonly counted: boolean;
  /** Kept apart because it was the first after a rest. */
  readonly afterRest: boolean;
  /** Seconds since the firing before it. */
  readonly rest: number | null;
  readonly mounting: 'not stated' | 'bare' | 'front plate fastened' | 'in the body';
  readonly figures: Pick<
    Figures,
    | 'effective'
    | 'total'
    | 'efficiency'
    | 'openingFull'
    | 'closingFull'
    | 'opening'
    | 'closing'
    | 'rebound'
    | 'levels'
    | 'remarks'
  >;
}

export interface FindingMark {
  readonly label: string;
  /** Time it is compared with; null for B and T. */
  readonly reference: Seconds | null;
  readonly outcome: RecordedOutcome | null;
  /** In the order of firing. */
  readonly readings: readonly FindingReading[];
}

export interface FindingsInput {
  readonly profile: ShutterProfile;
  /** In the order of the series. */
  readonly marks: readonly FindingMark[];
}

export interface Finding {
  readonly code: FindingCode;
  readonly marks: readonly string[];
  /** What was seen, in one sentence with its numbers. */
  readonly seen: string;
  /** What it suggests, in one or two sentences: inspection and cleaning first; nobody is told to bend or oil. */
  readonly suggests: string;
  /** Probability of an effect like this on a sound shutter, by the test named in `method`; null for a plain observation. */
  readonly significance: number | null;
  /** Size of the effect and the least size that counts, with their unit: '12 ms', '0.31 EV', '0.14'. */
  readonly effect: string;
  readonly threshold: string;
  readonly method: string;
  /** Ids of the firings it rests on. */
  readonly readings: readonly string[];
}
