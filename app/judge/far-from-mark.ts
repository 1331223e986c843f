import { type Seconds, type Stops, stops } from '../../firmware-protocol/units.ts';
import { errorInStops, referenceTime } from './error-in-stops.ts';
import type { MarkedSpeed, ReferenceRule, Series } from './verdict.ts';

export interface FarFromMark {
  /** Error against the mark it was filed under. */
  readonly error: Stops;
  /** The other mark of the series that the time comes nearest to, if it comes nearer to it than to its own. */
  readonly nearest: MarkedSpeed | null;
}

/**
 * A dial that stands one mark off is about one stop out (1.3 at most in the older series), give or take the
 * shutter's own error. Half a stop, where another mark comes nearer, would ask at every firing of a tired
 * top mark, and a question that is always there is no longer read; three quarters still catch a neighbour
 * whose own error is up to a quarter of a stop towards this mark.
 */
const QUESTION_AT = stops(0.75);

/**
 * Asks whether a firing belongs to its mark; it never says to which. Null when there is nothing to ask: the
 * error is under 0.75 stop, or the mark has no time. `time` in seconds above zero.
 */
export function farFromMark(
  time: Seconds,
  mark: MarkedSpeed,
  series: Series,
  rule: ReferenceRule,
): FarFromMark | null {
  const reference = referenceTime(mark, rule);
  if (reference === null) return null;
  const error = errorInStops(time, reference);
  if (Math.abs(error) < QUESTION_AT) return null;

  let nearest: MarkedSpeed | null = null;
  let least = Math.abs(error);
  for (const other of series.speeds) {
    const otherReference = referenceTime(other, rule);
    if (other.label === mark.label || otherReference === null) continue;
    const distance = Math.abs(errorInStops(time, otherReference));
    if (distance < least) {
      least = distance;
      nearest = other;
    }
  }
  return { error, nearest };
}
