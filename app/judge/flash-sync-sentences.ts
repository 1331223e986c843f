/** What is said of the flash contact, on the screen and on paper alike. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import { halfPeakDuration } from './flash-duration.ts';
import { type FlashSyncResult, M_LEAD, type Spread, type SyncRange, X_LEAST_OPEN } from './flash-sync.ts';
import { signed } from './verdict-words.ts';

/** Shown wherever the contact is judged. The voltages are what service pages tell of old flash units. */
export const FLASH_CAUTIONS: readonly string[] = [
  'Never put a flash unit on this lead or on anything joined to the board: take off flash, hot-shoe adapters and radio triggers first.',
  'Old flash units carry 200 to 400 V at their contacts, some up to 600 V, where some cameras stand 6 V only; their capacitors stay charged long after they were switched off. Repairs inside a flash are for those who are trained and licensed for it.',
  'The board tests the contact with a few volts and at most a few milliamperes, with the pull-up inside its chip alone under one: a dirty contact may look good here and still fail with a flash, and the other way round.',
  'Do not run the self-timer with the lever at M: it jams some shutters.',
];

/** One or two sentences on one mark: the verdict, with the numbers that led to it. */
export function flashSyncSentence(result: FlashSyncResult): string {
  return [verdictSentence(result), bounceSentence(result)].filter((sentence) => sentence !== '').join(' ');
}

function verdictSentence(result: FlashSyncResult): string {
  const { setting, verdict, n, closed, margin, lead } = result;
  switch (verdict) {
    case 'never closed':
      return n === 1
        ? 'The contact did not close in this firing, though its lead works: look at the contact and at the lever for X and M.'
        : `The contact closed in none of ${n} firings, though its lead works: look at the contact and at the lever for X and M.`;
    case 'not every time':
      return `The contact closed in ${closed} of ${n} firings: clean it, then fire again.`;
    case 'cannot be told':
      return untoldSentence(result);
    default:
      return setting === 'X' ? xSentence(result, margin!, lead!) : mSentence(result, lead!);
  }
}

function untoldSentence({ n, closed, stoodClosed, openTimeOnly, told }: FlashSyncResult): string {
  if (n === 0) return 'No firing counts here.';
  if (stoodClosed > 0) {
    const when =
      stoodClosed === n
        ? 'all the time'
        : `from before the release to the end in ${stoodClosed} of ${n} firings`;
    return `The contact stood closed ${when}: look for a short circuit in the lead first, then at the contact.`;
  }
  if (openTimeOnly > 0) {
    return 'The board timed only when the light came and went: whether the contact closes in time can be told with a board that sends the light itself.';
  }
  if (closed === 0) {
    return 'The contact was not seen to close. Test the lead first: without that nobody knows whether it is plugged in.';
  }
  return `In ${n - told} of ${n} ${n === 1 ? 'firing' : 'firings'} the moment of closure or the opening of the blades could not be told: fire again, with the light as for a reading of the speed.`;
}

function xSentence(
  { verdict, flashDuration, openAtClosure, told }: FlashSyncResult,
  margin: Spread,
  lead: Spread,
): string {
  const flash = `a flash of ${timeText(flashDuration)}`;
  const least = told > 1 ? 'at the least ' : '';
  switch (verdict) {
    case 'too late':
      return `X is too late: ${flash} goes on for ${told > 1 ? 'up to ' : ''}${timeText(-margin.worst)} after the blades have closed to 90 %${spreadWords(margin)}.`;
    case 'too early':
      return `X is too early: it closes ${told > 1 ? 'up to ' : ''}${timeText(lead.worst)} before the blades are ${percent(X_LEAST_OPEN)} open${spreadWords(lead)}.`;
    default:
      return `X is in time: the blades are ${openAtClosure === null ? 'open' : `${percent(openAtClosure)} open`} when it closes, and ${flash} is over ${least}${timeText(margin.worst)} before they have closed to 90 %${spreadWords(margin)}.`;
  }
}

/** Sound contacts settle within some tenths of a millisecond. Our own choice, no source. */
const LONG_BOUNCING = seconds(0.001);

const M_RANGE = `${1000 * M_LEAD.least} to ${1000 * M_LEAD.most} ms`;

function mSentence({ verdict }: FlashSyncResult, lead: Spread): string {
  const found = `it closes ${beforeOpen(lead)}${spreadWords(lead)}, where a camera maker's guide asks for ${M_RANGE} before, since bulbs of class M give their peak about 20 ms after the current begins`;
  return `M is ${verdict}: ${found}.`;
}

function beforeOpen({ mean }: Spread): string {
  return `${timeText(Math.abs(mean))} ${mean < 0 ? 'after' : 'before'} the blades are 80 % open`;
}

/** Nothing for a single firing. */
const spreadWords = ({ mean, sd }: Spread): string =>
  sd === null ? '' : ` (mean ${signed(1000 * mean, 2)} ms, SD ${(1000 * sd).toFixed(2)} ms)`;

function bounceSentence({ closed, bounces, bounceTime, moreBounces, closedTime }: FlashSyncResult): string {
  if (closed === 0 || closedTime === null) return '';
  const stays = `It stays closed for ${timeText(closedTime)}${closed > 1 ? ' on average' : ''}`;
  if (bounces === 0 && !moreBounces) return `${stays}, without bouncing.`;
  const long =
    bounceTime > LONG_BOUNCING
      ? ` More than ${timeText(LONG_BOUNCING)} of bouncing is a lot (our own limit): clean the contact.`
      : '';
  const count = `${moreBounces ? 'at least ' : closed > 1 ? 'up to ' : ''}${bounces} ${bounces === 1 ? 'time' : 'times'}`;
  return `${stays} and bounces ${count}, for ${timeText(bounceTime)}${closed > 1 ? ' at the most' : ''}; a flash goes off at the first touch.${long}`;
}

/** Over how many marks X is in time; null: over none of those that could be told. */
export function syncRangeSentence(range: SyncRange | null): string {
  if (range === null) return 'X is in time at none of the marks that could be told.';
  const { slowest, fastest, except, slower, next } = range;
  const marks = slowest === fastest ? `at ${fastest}` : `from ${slowest} to ${fastest}`;
  const gaps = except.length === 0 ? '' : `, except at ${except.join(', ')}`;
  const not = next === null ? slower : [...slower, next];
  return `X is in time ${marks}${gaps}${not.length === 0 ? '' : `; not at ${not.join(', ')}`}.`;
}

/** What a maker would state of the flash that X was judged for. */
export const flashDurationSentence = (tenthPeak: Seconds): string =>
  `X is judged for a flash of ${timeText(tenthPeak)} down to a tenth of its peak (t0.1); makers mostly state the time down to a half (t0.5), here about ${timeText(halfPeakDuration(tenthPeak))} if the light dies away evenly.`;

const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;
