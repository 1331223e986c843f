/** What the runs of the self-timer say of it. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import type { SelfTimerRun } from './camera-checks.ts';
import { addValue, NO_MOMENTS, standardDeviation } from './running-moments.ts';

/** Usual time from release to exposure: common practice, no source. */
export const USUAL_RUN: { readonly least: Seconds; readonly most: Seconds } = {
  least: seconds(8),
  most: seconds(12),
};
/** Runs that differ by more than this: the timer hesitates. A sound one repeats to some tenths. Our own choice. */
export const LARGEST_RANGE = seconds(1);
/** How well a key tells the moment of the release. */
export const KEY_SECONDS = seconds(0.1);

export type SelfTimerRemark = 'hesitates' | 'short' | 'long' | 'by key';

export interface SelfTimerResult {
  /** Runs that count: those set aside don't. */
  readonly n: number;
  readonly mean: Seconds | null;
  /** Null under two runs, and so is the range. */
  readonly sd: Seconds | null;
  readonly shortest: Seconds | null;
  readonly longest: Seconds | null;
  /** Longest less shortest. */
  readonly range: Seconds | null;
  /** Runs among them that a key has started. */
  readonly byKey: number;
  readonly remarks: readonly SelfTimerRemark[];
}

export function selfTimerResult(runs: readonly SelfTimerRun[]): SelfTimerResult {
  const counted = runs.filter(({ setAside }) => setAside === null);
  const times = counted.map((run) => run.seconds);
  const byKey = counted.filter(({ startedBy }) => startedBy === 'key').length;
  const n = times.length;
  if (n === 0) {
    return { n, mean: null, sd: null, shortest: null, longest: null, range: null, byKey, remarks: [] };
  }
  const moments = times.reduce(addValue, NO_MOMENTS);
  const sd = standardDeviation(moments);
  const shortest = Math.min(...times);
  const longest = Math.max(...times);
  // A time that a key has started must miss the limits by more than the key's own error.
  const doubt = byKey > 0 ? KEY_SECONDS : 0;
  const remarks: SelfTimerRemark[] = [];
  if (longest - shortest > LARGEST_RANGE + 2 * doubt) remarks.push('hesitates');
  if (moments.mean < USUAL_RUN.least - doubt) remarks.push('short');
  if (moments.mean > USUAL_RUN.most + doubt) remarks.push('long');
  if (byKey > 0) remarks.push('by key');
  return {
    n,
    mean: seconds(moments.mean),
    sd: sd === null ? null : seconds(sd),
    shortest: seconds(shortest),
    longest: seconds(longest),
    range: n < 2 ? null : seconds(longest - shortest),
    byKey,
    remarks,
  };
}
