/** What iris and set-up leave of the opening that the blades uncover from its centre. Areas as shares of the whole. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import type { Edge, FiringPlan } from './firing-plan.ts';

const MOST_STOPS = 6;

/** @throws RangeError unless 0 to 6 stops; parts of a stop are allowed. */
export function checkIris(stopsDown: number): void {
  if (!(stopsDown >= 0 && stopsDown <= MOST_STOPS)) {
    throw new RangeError(`The iris closes by 0 to ${MOST_STOPS} stops.`);
  }
}

/** @throws RangeError unless above 0 and at most 1. */
export function checkSeenShare(share: number): void {
  if (!(share > 0 && share <= 1)) throw new RangeError('A share of the opening is above 0 and at most 1.');
}

/**
 * Light that passes, as a share of that with everything uncovered, when light and sensor use only the central
 * `seenShare` of the opening's area and the iris leaves the central 2^−stopsDown.
 */
export const passingLight = (openFraction: number, stopsDown: number, seenShare: number): number =>
  Math.min(openFraction, 2 ** -stopsDown, seenShare) / seenShare;

/** Effective time of the central share of the opening: ∫ min(a, share) dt / share, light after closing left out. */
export function centralTime(
  { outcome, opening, fullyOpen, closing, stroke }: FiringPlan,
  share: number,
): Seconds {
  if (outcome === 'does not fire') return seconds(0);
  const height = Math.min(1, share / stroke);
  const area = edgeAreaUpTo(opening, height) + height * fullyOpen + edgeAreaUpTo(closing, height);
  return seconds((stroke / share) * area);
}

/** ∫ min(a, h) dt over one edge: h − h²/2 of its duration for a = x, h − 2h√h/3 for a = x². */
const edgeAreaUpTo = ({ shape, duration }: Edge, height: number): number =>
  duration * (shape === 'straight' ? height - height ** 2 / 2 : height - (2 / 3) * height ** 1.5);
