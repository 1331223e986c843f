/** Verdicts, errors and bands as the user reads them, on the screen and on paper alike. */
import type { Stops } from '../../firmware-protocol/units.ts';
import type { NotCounted } from './counted-readings.ts';
import type { FarFromMark } from './far-from-mark.ts';
import type { Band, SpeedStatistics, Verdict } from './verdict.ts';

/** U+2212: as wide as the plus, so that signed figures stand under each other; and read out as 'minus'. */
const MINUS = '−';

/** Stops with a sign: '+0.18', '−0.42', and '0.00' for what rounds to nothing. */
export function signedStops(error: Stops, digits = 2): string {
  const figure = Math.abs(error).toFixed(digits);
  if (Number(figure) === 0) return figure;
  return `${error < 0 ? MINUS : '+'}${figure}`;
}

/** A size without a sign and its unit: '0.42 stop', '1.00 stop', '1.25 stops'. */
export function sizeInStops(size: Stops): string {
  const figure = Math.abs(size).toFixed(2);
  return `${figure} ${Number(figure) > 1 ? 'stops' : 'stop'}`;
}

/** '±1/3 stop', '±0.40 stop', '−0.20 to +0.50 stop'. */
export function bandWords({ lower, upper }: Band): string {
  if (lower !== -upper) return `${signedStops(lower)} to ${signedStops(upper)} stop`;
  const fraction = [1, 2, 3, 4, 6].find((divisor) => Math.abs(upper * divisor - 1) < 1e-9);
  if (fraction === undefined) return `±${sizeInStops(upper)}`;
  return fraction === 1 ? '±1 stop' : `±1/${fraction} stop`;
}

/**
 * The verdict on one mark: 'within', '0.42 stop slow', '0.31 stop fast', '2 of 5 firings', 'did not fire',
 * 'stuck open', 'not tried', 'no time to compare'.
 */
export function verdictWords(
  verdict: Verdict,
  statistics: Pick<SpeedStatistics, 'n' | 'meanError'>,
  least: number,
): string {
  switch (verdict) {
    case 'slow':
    case 'fast':
      return statistics.meanError === null ? verdict : `${sizeInStops(statistics.meanError)} ${verdict}`;
    case 'too few':
      return `${statistics.n} of ${least} ${least === 1 ? 'firing' : 'firings'}`;
    case 'no time':
      return 'no time to compare';
    default:
      return verdict;
  }
}

const HEADINGS: Readonly<Record<Verdict, string>> = {
  within: 'Within its band',
  slow: 'Slow',
  fast: 'Fast',
  'too few': 'Too few firings to say',
  'did not fire': 'Did not fire',
  'stuck open': 'Stuck open',
  'not tried': 'Not tried',
  'no time': 'No time to compare with',
};

export const verdictHeading = (verdict: Verdict): string => HEADINGS[verdict];

const NOT_COUNTED: Readonly<Record<NotCounted, string>> = {
  spoilt: 'not counted: data was lost',
  'set aside': 'not counted: set aside',
  'no time': 'not counted: no time could be read',
  'time not valid': 'not counted: the time is not valid',
};

export const notCountedWords = (reason: NotCounted): string => NOT_COUNTED[reason];

/** The question a firing far from its mark raises; it stays under `label` unless the user moves it. */
export function farFromMarkQuestion(label: string, { error, nearest }: FarFromMark): string {
  const side = error > 0 ? 'slower' : 'faster';
  const there = nearest === null ? '' : `, near ${nearest.label}`;
  return `This firing was ${sizeInStops(error)} ${side} than ${label}${there}. Does the dial stand at ${label}?`;
}
