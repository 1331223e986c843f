/** The latest firing at each of a few marks, for looking at them side by side while something is adjusted. */
import { type Seconds, type Stops, stops } from '../../firmware-protocol/units.ts';
import { judgedTime, type Reading, whyNotCounted } from './counted-readings.ts';
import { errorInStops } from './error-in-stops.ts';

/** Nearer to its mark than this (stops) a single firing is called on the mark: 7 % of the time. Own choice, no source. */
export const ON_THE_MARK = stops(0.1);

export interface LatestFiring {
  readonly label: string;
  /** Null where no firing at this mark counts, and so for the rest. */
  readonly ordinal: number | null;
  readonly time: Seconds | null;
  /** Null as well for B and T, which have nothing to compare with. */
  readonly error: Stops | null;
  readonly direction: 'slow' | 'fast' | 'on the mark' | null;
}

/** One for each mark, in the order given. There is no least number: it is one firing and says no more. */
export function latestOf(
  marks: readonly { readonly label: string; readonly reference: Seconds | null }[],
  readings: readonly (Reading & { readonly mark: string; readonly ordinal: number })[],
): readonly LatestFiring[] {
  return marks.map(({ label, reference }) => {
    const latest = readings
      .filter((reading) => reading.mark === label && whyNotCounted(reading) === null)
      .reduce<(typeof readings)[number] | null>(
        (last, reading) => (last === null || reading.ordinal > last.ordinal ? reading : last),
        null,
      );
    const time = latest && judgedTime(latest.figures);
    if (latest === null || time === null) {
      return { label, ordinal: null, time: null, error: null, direction: null };
    }
    const error = reference === null ? null : errorInStops(time, reference);
    return {
      label,
      ordinal: latest.ordinal,
      time,
      error,
      direction: error === null ? null : directionOf(error),
    };
  });
}

function directionOf(error: Stops): 'slow' | 'fast' | 'on the mark' {
  if (Math.abs(error) < ON_THE_MARK) return 'on the mark';
  return error > 0 ? 'slow' : 'fast';
}
