/** Errors and their sizes in EV to the decimals that they deserve, on the screen and on paper alike. */

import type { Stops } from '../../firmware-protocol/units.ts';
import type { Budget } from '../judge/verdict.ts';
import { signedStops } from '../judge/verdict-words.ts';

/** Stands for a figure that could not be had. */
export const DASH = '–';

/** A thousandth of a stop is 0.07 %: finer than that no figure here is meant. */
const MOST_DECIMALS = 3;

/** Two significant digits of an uncertainty are enough (GUM 7.2.6); whole stops from ten on. */
function decimals(size: Stops): number {
  const bound = Math.abs(size);
  if (bound < 0.0995) return MOST_DECIMALS;
  if (bound < 0.995) return 2;
  return bound < 9.95 ? 1 : 0;
}

/** A spread or an uncertainty: '0.12', '0.043', '0.001' for anything smaller that is not nothing. */
export function sizeText(size: Stops): string {
  const least = size > 0 ? 10 ** -MOST_DECIMALS : 0;
  return Math.max(size, least).toFixed(decimals(size));
}

/** An uncertainty must not be rounded down by more than this share of it (EA-4/02, 6.3; from memory). */
const MOST_ROUNDED_DOWN = 0.05;

/** An expanded uncertainty as sizeText, but rounded up where one digit is left and rounding would make too little of it. */
export function expandedText(expanded: Stops): string {
  const text = sizeText(expanded);
  if (Number(text) >= (1 - MOST_ROUNDED_DOWN) * expanded) return text;
  const digits = decimals(expanded);
  return (Math.ceil(expanded * 10 ** digits) / 10 ** digits).toFixed(digits);
}

/** '±0.043': expanded uncertainty in EV. */
export const uncertaintyText = ({ expanded }: Budget): string => `±${expandedText(expanded)}`;

/** A mean error with its sign, to the decimals of its expanded uncertainty (GUM 7.2.6): '+0.062', '−0.42'. */
export const errorText = (error: Stops, budget: Pick<Budget, 'expanded'> | null): string =>
  signedStops(error, budget === null ? 2 : decimals(budget.expanded));
