/** How much more a leaf shutter exposes with the lens stopped down, from the light curves of its firings. */
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { Figures } from '../measure/figures.ts';
import { judgedTime, type Reading, whyNotCounted } from './counted-readings.ts';
import type { ShutterProfile } from './set-up.ts';
import { nearestThird } from './thirds.ts';

export type CurveReading = Reading & { readonly figures: Pick<Figures, 'stoppedDown'> };

export interface StoppedDownCorrection {
  readonly label: string;
  /** Counted firings with a light curve. */
  readonly n: number;
  /** Mean lengthening at 1, 2, … stops below wide open. */
  readonly longer: readonly Stops[];
  /** The same in thirds of a stop, to the nearest. */
  readonly thirds: readonly number[];
}

/**
 * Against the time with the iris wide open, as which the readings are taken: te(k)/te in stops, the mean over the
 * counted firings of a mark (of those that have so many steps). An upper estimate, since the opening between blades
 * is no circle. Marks without a light curve are left out. Null for shutters that don't uncover from the centre
 * (discs, guillotines, focal plane), for which it would be wrong.
 */
export function stoppedDownCorrections(
  { fromCentre }: Pick<ShutterProfile, 'fromCentre'>,
  marks: readonly { readonly label: string; readonly readings: readonly CurveReading[] }[],
): readonly StoppedDownCorrection[] | null {
  if (!fromCentre) return null;
  return marks.flatMap(({ label, readings }): StoppedDownCorrection[] => {
    const curves = readings.flatMap((reading) => {
      const time = judgedTime(reading.figures);
      const down = reading.figures.stoppedDown;
      if (time === null || down === null || whyNotCounted(reading) !== null) return [];
      if (!down.every((stopped) => stopped > 0)) return [];
      return [down.map((stopped) => Math.log2(stopped / time))];
    });
    if (curves.length === 0) return [];
    const steps = Math.min(...curves.map((curve) => curve.length));
    const longer = Array.from({ length: steps }, (_, k) =>
      stops(curves.reduce((sum, curve) => sum + curve[k]!, 0) / curves.length),
    );
    return [{ label, n: curves.length, longer, thirds: longer.map(nearestThird) }];
  });
}
