/** Numbers and marks as the sentences of findings print them. */

import { stops } from '../../../firmware-protocol/units.ts';
import type { FindingCode } from '../finding.ts';
import { signedStops } from '../verdict-words.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';

/** '+0.31 EV', '−1.20 EV'. */
export const signedEv = (value: number): string => `${signedStops(stops(value))} EV`;

/** '+2.4 ms'. */
export const signedMilliseconds = (seconds: number): string => `${signedStops(stops(1000 * seconds), 1)} ms`;

/** Without a sign: '0.31 EV'. */
export const evText = (value: number): string => `${Math.abs(value).toFixed(2)} EV`;

export const percentText = (share: number, digits = 1): string => `${(100 * share).toFixed(digits)} %`;

/** Whole seconds with their unit, since '1' alone would read as a count. */
export const markText = (label: string): string => (/^\d+(\.\d+)?$/.test(label) ? `${label} s` : label);

/** '1 s, 1/2 and 1/4'. */
export function marksText(marks: readonly { readonly label: string }[]): string {
  const names = marks.map(({ label }) => markText(label));
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** 'slow' is longer than marked. */
export const slowOrFast = (error: number): 'slow' | 'fast' => (error > 0 ? 'slow' : 'fast');

const SMALL_NUMBERS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten'];

/** The beginning of a sentence. */
export const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** 'three firings', '12 firings'. */
export function countText(count: number, one: string, many = `${one}s`): string {
  return `${SMALL_NUMBERS[count] ?? count} ${count === 1 ? one : many}`;
}

/** 'at least 0.20 EV' would depend on the finding: the bare size with its unit. */
export function thresholdText(code: FindingCode): string {
  const { practical, unit } = FINDING_THRESHOLDS[code];
  if (unit === 'EV') return evText(practical);
  if (unit === 'ms') return `${practical.toFixed(1)} ms`;
  return unit === 'firings' ? countText(practical, 'firing') : `${practical} ${unit}`;
}
