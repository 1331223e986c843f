/** Sentences for the patterns across marks, where they are large enough to matter. */
import type { Finding } from '../finding.ts';
import { bestPatterns, type FittedPattern, type PatternCode, stopsOf } from './mark-patterns.ts';
import { idsOf, type MeasuredMark } from './measured-marks.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { countText, markText, signedEv, signedMilliseconds, slowOrFast, thresholdText } from './wording.ts';

/** Milliseconds in a second, since a threshold in ms stands beside sizes in s. */
const MILLI = 1000;

/** `marks`: those with enough firings, without those that a more telling finding has already explained. */
export function patternFindings(marks: readonly MeasuredMark[]): Finding[] {
  return bestPatterns(marks)
    .filter((pattern) => isLargeEnough(pattern, marks))
    .map((pattern) => findingOf(pattern, marks));
}

function isLargeEnough(pattern: FittedPattern, all: readonly MeasuredMark[]): boolean {
  const { code, size } = pattern;
  // Blades don't hurry: fast marks that are short have no cause of this kind, and the verdict says that they are.
  if (code === 'blade drag' && size < 0) return false;
  const { practical, unit } = FINDING_THRESHOLDS[code];
  return unit === 'ms'
    ? MILLI * Math.abs(size) >= practical
    : Math.abs(sizeInStops(pattern, all)) >= practical;
}

/** At the fastest mark, where all marks are off by the same time. */
const sizeInStops = (pattern: FittedPattern, all: readonly MeasuredMark[]) =>
  pattern.sameTime ? stopsOf(pattern, fastestOf(all)) : pattern.size;

/** Marks that the same time more or less moves by less than this (stops) are not worth naming. */
const NAMED_FROM = 0.1;

const whereItShows = (pattern: FittedPattern) =>
  pattern.marks.filter((mark) => Math.abs(stopsOf(pattern, mark)) >= NAMED_FROM);

function findingOf(pattern: FittedPattern, all: readonly MeasuredMark[]): Finding {
  const { code, size, significance } = pattern;
  const marks = code === 'blade drag' ? whereItShows(pattern) : pattern.marks;
  return {
    code,
    marks: marks.map(({ label }) => label),
    seen: SEEN[code](pattern, all),
    suggests: SUGGESTS[code](pattern, all),
    significance,
    effect:
      FINDING_THRESHOLDS[code].unit === 'ms' ? signedMilliseconds(size) : signedEv(sizeInStops(pattern, all)),
    threshold: thresholdText(code),
    method: FINDING_THRESHOLDS[code].test,
    readings: idsOf(marks),
  };
}

/** Error of each mark: '+0.12 EV at 1/250, +0.20 EV at 1/500'. */
const eachOf = (marks: readonly MeasuredMark[]) =>
  marks.map((mark) => `${signedEv(mark.meanError)} at ${markText(mark.label)}`).join(', ');

/** The same in milliseconds. */
const eachInTime = (marks: readonly MeasuredMark[]) =>
  marks
    .map(({ reference, meanError, label }) => {
      return `${signedMilliseconds(reference * (2 ** meanError - 1))} at ${markText(label)}`;
    })
    .join(', ');

/** From the least error to the largest, for more marks than one cares to read. */
function rangeOf(marks: readonly MeasuredMark[]): string {
  if (marks.length <= 2) return eachOf(marks);
  const errors = marks.map(({ meanError }) => meanError);
  return `between ${signedEv(Math.min(...errors))} and ${signedEv(Math.max(...errors))}`;
}

type Sentence = (pattern: FittedPattern, all: readonly MeasuredMark[]) => string;

const othersOf = ({ marks }: FittedPattern, all: readonly MeasuredMark[]) =>
  all.filter((mark) => !marks.includes(mark));

const SEEN: { readonly [code in PatternCode]: Sentence } = {
  'governor engagement': (pattern, all) =>
    `The governed marks are ${slowOrFast(pattern.size)} by about the same time, ${signedMilliseconds(pattern.size)} (${eachInTime(whereItShows(pattern))}); the marks without governor (${rangeOf(othersOf(pattern, all))}) don’t share it.`,
  escapement: (pattern, all) =>
    `The governed marks are ${slowOrFast(pattern.size)} by about the same ratio, ${signedEv(pattern.size)} (${rangeOf(pattern.marks)}); the marks without governor (${rangeOf(othersOf(pattern, all))}) don’t share it.`,
  pallet: (pattern, all) =>
    `The marks that use the pallet are ${slowOrFast(pattern.size)} by about ${signedEv(pattern.size)} (${rangeOf(pattern.marks)}); the others (${rangeOf(othersOf(pattern, all))}) don’t share it.`,
  'blade drag': (pattern) =>
    `The fast marks are slow (${eachOf(whereItShows(pattern))}), as if every mark took the same ${signedMilliseconds(pattern.size)} longer. ${shapeText(fastestOf(pattern.marks))}`,
  'all marks off': (pattern) =>
    `All ${countText(pattern.marks.length, 'mark')} are ${slowOrFast(pattern.size)} by about the same, ${signedEv(pattern.size)} (${rangeOf(pattern.marks)}).`,
  'one mark off': (pattern, all) =>
    `${markText(pattern.marks[0]!.label)} alone departs from the others, by ${signedEv(pattern.size)}: it is off by ${signedEv(pattern.marks[0]!.meanError)}, the others ${rangeOf(othersOf(pattern, all))}.`,
};

const fastestOf = (marks: readonly MeasuredMark[]): MeasuredMark =>
  marks.reduce((fastest, mark) => (mark.reference < fastest.reference ? mark : fastest));

/** Opening time and efficiency, as far as the light curve gave them. */
function shapeText(fastest: MeasuredMark): string {
  const meanOf = (values: readonly (number | null)[]) => {
    const known = values.filter((value) => value !== null);
    return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
  };
  const efficiency = meanOf(fastest.readings.map(({ figures }) => figures.efficiency));
  const opening = meanOf(fastest.readings.map(({ figures }) => figures.openingFull ?? figures.opening));
  if (efficiency === null || opening === null) return 'The light curves are too coarse to show the blades.';
  return `At ${markText(fastest.label)} the blades take ${(MILLI * opening).toFixed(2)} ms to open and the efficiency is ${efficiency.toFixed(2)}.`;
}

const SUGGESTS: { readonly [code in PatternCode]: Sentence } = {
  'governor engagement': ({ size }) =>
    `Suggests that the governor engages ${size > 0 ? 'too far' : 'too little'}: less engagement makes the governed marks faster, more makes them slower. Inspect and clean the governor first, then read again before its position is changed.`,
  escapement: ({ size }) =>
    `Suggests the escapement: ${size > 0 ? 'dirt, wear or a pallet that reaches too deep' : 'wear or a pallet that reaches too little'}. Inspect and clean the train first, then read again.`,
  pallet: () =>
    'Suggests the pallet: dirt, wear, or how deep it reaches; the rest of the governor looks good. Inspect and clean it first, then read again.',
  'blade drag': () =>
    'Suggests drag on the blades: dirt or oil between them, or a distorted blade or ring; long opening and low efficiency speak for it. Inspect and clean first; the main spring comes last, and on an old shutter slow top marks may be no more than its age.',
  'all marks off': () =>
    'Suggests something common to all marks: check first that the right series is set, that iris and geometry are as stated and the whole opening is seen; then run the clock check; only then think of the lubricant.',
  'one mark off': ({ marks }, all) =>
    `Suggests the step of the cam plate for this mark, or a setting that is not seated: set it anew and read again, then look at the cam.${marks[0] === fastestOf(all) ? ' At the very top it is often ordinary ageing.' : ''}`,
};
