/** What the exposure would have been with the lens stopped down. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import { crossing, type Edge } from './edge-instants.ts';

const MOST_STOPS = 6;

/** The stretch of the curve that is integrated, in samples, between the two edges of the exposure. */
export interface Window {
  readonly from: number;
  readonly to: number;
  readonly opening: Edge;
  readonly closing: Edge;
}

/**
 * Effective time with the lens stopped down by 1, 2, … 6 stops: blades uncover from the centre, so that an
 * aperture of 2^−k of the area is full as soon as the open fraction a comes to 2^−k:
 *
 *   te(k) = 2^k · ∫ min(a, 2^−k) dt
 *
 * For straight edges that is te + τ − τ·2^−k. An upper estimate, since the opening between blades is no
 * circle; and none at all for shutters that uncover otherwise (discs, curtains). Between the first and the
 * last crossing of the limit the light is cut off at it; outside it is taken as it is, so that noise in the
 * dark averages out instead of being cut off on one side. `dark` and `height` in codes.
 */
export function stoppedDown(
  window: Window,
  dark: number,
  height: number,
  secondsPerSample: number,
): readonly Seconds[] {
  const { opening, closing } = window;
  const { curve } = opening;
  const inside = insideHalf(window, dark + height / 2);
  return Array.from({ length: MOST_STOPS }, (_, i) => {
    const share = 2 ** -(i + 1);
    const limit = dark + share * height;
    const up = crossing(opening, limit);
    const down = crossing(closing, limit);
    let area: number;
    if (up === null || down === null || up >= down) area = curve.integral(window.from, window.to, dark);
    else {
      const outside = curve.integral(window.from, up, dark) + curve.integral(down, window.to, dark);
      area = outside + share * height * (down - up) - missing(opening, up, down, limit, inside);
    }
    return seconds((area / height / share) * secondsPerSample);
  });
}

/** Samples from the first to the last one above half light, and the lowest code among them. */
interface Inside {
  readonly from: number;
  readonly to: number;
  readonly lowest: number;
}

function insideHalf({ opening, closing }: Window, half: number): Inside {
  const from = Math.ceil(crossing(opening, half) ?? opening.start);
  const to = Math.floor(crossing(closing, half) ?? closing.start);
  const { values } = opening.curve;
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = from; i <= to; i++) lowest = Math.min(lowest, values[i]!);
  return { from, to, lowest };
}

/**
 * Light that fails to reach the limit between two positions (blades that bounce while opening), in codes ·
 * samples. Where nothing inside is lower than the limit, which is so in nearly all exposures, the edges alone
 * are looked at.
 */
function missing({ curve, width }: Edge, from: number, to: number, limit: number, inside: Inside): number {
  const { values } = curve;
  const skip = inside.lowest >= limit && inside.from <= inside.to;
  let sum = 0;
  for (let i = Math.ceil(from); i <= to; i++) {
    if (skip && i === inside.from) i = inside.to;
    if (values[i]! < limit) sum += Math.max(limit - curve.smoothed(i, width), 0);
  }
  return sum;
}
