/** Exposure in thirds of a stop, the steps in which apertures and film speeds are set. */
import type { Stops } from '../../firmware-protocol/units.ts';

/** Errors of arithmetic must not decide a tie. */
const ROUNDING = 1e-9;

/**
 * The nearest whole number of thirds of a stop: +0.34 stop is 1, −0.70 is −2. Midway between two the one nearer to
 * zero is taken, so that nobody is told to correct what is as good left alone.
 */
export function nearestThird(error: Stops): number {
  const thirds = Math.ceil(Math.abs(error) * 3 - 0.5 - ROUNDING);
  return thirds <= 0 ? 0 : Math.sign(error) * thirds;
}

/** Without a sign: '1/3', '1', '1 2/3'; '0' for none. */
export function thirdsSize(thirds: number): string {
  const size = Math.abs(thirds);
  const whole = Math.floor(size / 3);
  const rest = size % 3;
  if (rest === 0) return String(whole);
  return whole === 0 ? `${rest}/3` : `${whole} ${rest}/3`;
}

/** With its sign: '+1/3', '−1 2/3', '0'. */
export function signedThirds(thirds: number): string {
  if (thirds === 0) return '0';
  return `${thirds < 0 ? '−' : '+'}${thirdsSize(thirds)}`;
}

/** '1/3 stop', '1 stop', '1 2/3 stops'. */
export const thirdsInStops = (thirds: number): string =>
  `${thirdsSize(thirds)} ${Math.abs(thirds) > 3 ? 'stops' : 'stop'}`;
