/** Errors and their sizes in EV to the decimals that they deserve, on the screen and on paper alike. */

import type { Stops } from '../../firmware-protocol/units.ts';
import type { Budget } from '../judge/verdict.ts';
import { signedStops } from '../judge/verdict-words.ts';

/** Stands for a figure that could not be had. */
export const DASH = '–';

/** A thousandth of a stop is 0.07 %: finer than that no figure here is meant. */
const MOST_DECIMALS = 3;

/** Two significant digits of an uncertainty are enough (GUM 7.2.6), and two decimals the least in use. */
const decimals = (size: Stops): number => (Math.abs(size) < 0.0995 ? MOST_DECIMALS : 2);

/** A spread or an uncertainty: '0.12', '0.043', '0.001' for anything smaller that is not nothing. */
export function sizeText(size: Stops): string {
  const least = size > 0 ? 10 ** -MOST_DECIMALS : 0;
  return Math.max(size, least).toFixed(decimals(size));
}

/** '±0.043': expanded uncertainty in EV. */
export const uncertaintyText = ({ expanded }: Budget): string => `±${sizeText(expanded)}`;

/** A mean error with its sign, to the decimals of its expanded uncertainty (GUM 7.2.6): '+0.062', '−0.42'. */
export const errorText = (error: Stops, budget: Budget | null): string =>
  signedStops(error, budget === null ? 2 : decimals(budget.expanded));
