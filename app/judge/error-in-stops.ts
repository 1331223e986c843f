import { type Seconds, type Stops, seconds, stops } from '../../firmware-protocol/units.ts';
import type { MarkedSpeed, ReferenceRule } from './verdict.ts';

/**
 * Error of a time against its reference, e = log2(time / reference), in stops. Positive is slow: the
 * shutter stays open too long. With 1 s as the reference this is −Tv of APEX.
 *
 * @throws RangeError unless both are finite and above zero.
 */
export function errorInStops(time: Seconds, reference: Seconds): Stops {
  for (const [name, value] of [
    ['time', time],
    ['reference', reference],
  ] as const) {
    if (!(value > 0 && Number.isFinite(value))) {
      throw new RangeError(`The ${name} must be a number of seconds above zero, not ${value}.`);
    }
  }
  return stops(Math.log2(time / reference));
}

/** The time that lies `error` stops from `reference`: the inverse of errorInStops. */
export function timeAtError(reference: Seconds, error: Stops): Seconds {
  return seconds(reference * 2 ** error);
}

/**
 * The time a mark is compared with. Under the rule 'exact' a mark without an exact time (the older series)
 * keeps the engraved one, since it has no other. Null for B and T.
 */
export function referenceTime(mark: MarkedSpeed, rule: ReferenceRule): Seconds | null {
  return rule === 'exact' ? (mark.exact ?? mark.marked) : mark.marked;
}
