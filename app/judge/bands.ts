import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { Band } from './verdict.ts';

export interface BandPreset {
  readonly id: string;
  /** What the band is for. */
  readonly purpose: string;
  readonly band: Band;
  /** Where it comes from, shown beside it. */
  readonly origin: string;
}

const around = (limit: number): Band => ({ lower: stops(-limit), upper: stops(limit) });

const COMMON_PRACTICE = 'common practice, no source';

/** Offered to the user; none of them is a tolerance of ISO 516, whose figures are target values. */
export const BAND_PRESETS: readonly BandPreset[] = [
  { id: 'reversal', purpose: 'reversal film', band: around(1 / 3), origin: COMMON_PRACTICE },
  { id: 'negative', purpose: 'negative film', band: around(1 / 2), origin: COMMON_PRACTICE },
  { id: 'old', purpose: 'old shutter, usable', band: around(1), origin: COMMON_PRACTICE },
];

/** A change of the time in percent, as stops: log2(1 + percent/100). RangeError at −100 % and below. */
export function percentToStops(percent: number): Stops {
  if (!(percent > -100 && Number.isFinite(percent))) {
    throw new RangeError(`A time can't change by ${percent} %.`);
  }
  return stops(Math.log2(1 + percent / 100));
}

/** The same change in percent of the time: 100·(2^stops − 1). */
export function stopsToPercent(error: Stops): number {
  return 100 * (2 ** error - 1);
}

export type OwnBand =
  | { readonly ok: true; readonly band: Band }
  | { readonly ok: false; readonly problem: string };

/**
 * Limits of the user's own. They need not lie on both sides of zero: a shop may want a speed to be a little
 * slow. The problem, if there is one, is a sentence for the user.
 */
export function ownBand(lower: number, upper: number, unit: 'stops' | 'percent'): OwnBand {
  if (!Number.isFinite(lower) || !Number.isFinite(upper)) {
    return { ok: false, problem: 'Both limits of the band must be numbers.' };
  }
  if (lower >= upper) {
    return { ok: false, problem: `The lower limit (${lower}) must lie below the upper one (${upper}).` };
  }
  if (unit === 'stops') return { ok: true, band: { lower: stops(lower), upper: stops(upper) } };
  if (lower <= -100) {
    return { ok: false, problem: `A time can't be ${-lower} % short: the limit must lie above −100 %.` };
  }
  return { ok: true, band: { lower: percentToStops(lower), upper: percentToStops(upper) } };
}
