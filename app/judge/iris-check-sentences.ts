import type { Stops } from '../../firmware-protocol/units.ts';
import type { IrisCheckResult } from './iris-check-result.ts';
import { signedStops } from './verdict-words.ts';

/** What the check found, with its numbers, and what to do. */
export function irisCheckSentence(result: IrisCheckResult): string {
  const { mark, expected, found, interval, lightShare, outcome } = result;
  const light = `One stop down ${percent(lightShare)} of the light is left`;
  const time = `the time at ${mark} gets ${stopsText(found)} longer (95 %: ${stopsText(interval.lower)} to ${stopsText(interval.upper)}), where the curve says ${stopsText(expected)} if the whole opening is used`;
  switch (outcome) {
    case 'whole opening used':
      return `${light} and ${time}: light and sensor use the whole opening, as far as this check can tell (five sixths of it or more).`;
    case 'part of the opening used':
      return `${light} and ${time}: if the iris was closed by one stop, light and sensor use only ${seenWords(lightShare)} of the opening, and the times of fast marks read too long. Light the whole front of the lens broadly and evenly, bring the sensor to the film plane, and check again.`;
    case 'not one stop':
      return `${light}, where a half was to be expected: close the iris by one stop only, and check again.`;
    case 'cannot be decided':
      return `${light} and ${time}: that decides nothing. Use the fastest mark, fire more often, and let neither lamp nor sensor move in between.`;
  }
}

/** The central share of the opening that leaves so much of the light one stop down. */
function seenWords(lightShare: number): string {
  return lightShare < 0.95 ? `the central ${percent(1 / (2 * lightShare))}` : 'the central half or less';
}

const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;

const stopsText = (value: Stops): string => `${signedStops(value)} EV`;
