import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import { type Edge, tenthHeight } from './edge-instants.ts';
import type { Levels } from './figures.ts';
import type { ContactLight } from './flash-contact.ts';

/**
 * How far the blades were open when the contact closed, and when they passed 80 and 90 %: by the same local fits
 * as the ends of the 10 to 90 % durations. `rise` and `fall`: those durations, in samples.
 */
export function contactLight(
  { opening, rise }: { readonly opening: Edge; readonly rise: number },
  { closing, fall }: { readonly closing: Edge; readonly fall: number },
  { dark, open }: Levels,
  secondsPerSample: number,
): ContactLight {
  const instant = (edge: Edge, fraction: number, duration: number): Seconds | null => {
    const position = tenthHeight(edge, dark + fraction * (open - dark), duration);
    return position === null ? null : seconds(position * secondsPerSample);
  };
  const openAt = (at: Seconds): number | null => {
    const { curve, width } = opening;
    const position = at / secondsPerSample;
    const i = Math.floor(position);
    if (i < 0 || i + 1 >= curve.length) return null;
    const here = curve.smoothed(i, width);
    const light = here + (curve.smoothed(i + 1, width) - here) * (position - i);
    return Math.min(Math.max((light - dark) / (open - dark), 0), 1);
  };
  return {
    openAt,
    open80: instant(opening, 0.8, rise),
    open90: instant(opening, 0.9, rise),
    closing90: instant(closing, 0.9, fall),
  };
}
