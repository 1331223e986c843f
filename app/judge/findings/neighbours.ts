/** Neighbouring marks that give the same time, or the wrong way round. */
import type { Finding } from '../finding.ts';
import { idsOf, type MeasuredMark } from './measured-marks.ts';
import { amongTrials, combinedVariance, upperTail, type Variance } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { markText, signedEv, thresholdText } from './wording.ts';

/** The mark that the finding blames on itself: no other pattern is to be built on it. */
export interface NeighbourFinding {
  readonly finding: Finding;
  readonly explained: MeasuredMark;
}

interface Pair {
  readonly slower: MeasuredMark;
  readonly faster: MeasuredMark;
  /** Stops by which the slower mark opens longer, as marked and as read. */
  readonly marked: number;
  readonly read: number;
  readonly of: Variance;
  readonly topmost: boolean;
}

const INVERTED = FINDING_THRESHOLDS['order inverted'];
const EQUAL = FINDING_THRESHOLDS['neighbours equal'];
/** Marks engraved closer than this (stops) are no case for equality: 1/250 and 1/300. */
const LEAST_STEP = 0.7;

export function neighbourFindings(marks: readonly MeasuredMark[]): NeighbourFinding[] {
  const pairs = pairsOf(marks.filter(({ readings }) => readings.length >= EQUAL.firings));
  return pairs.flatMap((pair) => inverted(pair, pairs.length) ?? equal(pair, pairs.length) ?? []);
}

function pairsOf(marks: readonly MeasuredMark[]): Pair[] {
  const fastestLast = marks.toSorted((a, b) => b.reference - a.reference);
  return fastestLast.slice(1).flatMap((faster, n) => {
    const slower = fastestLast[n]!;
    const marked = Math.log2(slower.reference / faster.reference);
    if (marked <= 0) return [];
    const read = marked + slower.meanError - faster.meanError;
    const of = combinedVariance([
      { weight: 1, ...slower.ofFirings },
      { weight: 1, ...faster.ofFirings },
    ]);
    return [{ slower, faster, marked, read, of, topmost: n === fastestLast.length - 2 }];
  });
}

function inverted(pair: Pair, pairs: number): NeighbourFinding | null {
  const { slower, faster, read, of } = pair;
  const longer = -read;
  const significance = amongTrials(upperTail(longer, of), pairs);
  if (longer < INVERTED.practical || significance > INVERTED.significance!) return null;
  return {
    explained: fartherOff(pair),
    finding: {
      code: 'order inverted',
      marks: [slower.label, faster.label],
      seen: `${markText(faster.label)} opens longer than ${markText(slower.label)}, by ${signedEv(longer)}: ${timesText(pair)}.`,
      suggests:
        'Suggests the cam plate or how it was assembled: look whether it is the right one, seated, and followed by the right lever. Nothing is to be adjusted before that.',
      significance,
      effect: signedEv(longer),
      threshold: thresholdText('order inverted'),
      method: INVERTED.test,
      readings: idsOf([slower, faster]),
    },
  };
}

function equal(pair: Pair, pairs: number): NeighbourFinding | null {
  const { slower, faster, marked, read, of } = pair;
  if (marked < LEAST_STEP || Math.abs(read) >= EQUAL.practical) return null;
  const worse = Math.max(upperTail(EQUAL.practical - read, of), upperTail(EQUAL.practical + read, of));
  const significance = amongTrials(worse, pairs);
  if (significance > EQUAL.significance!) return null;
  return {
    explained: fartherOff(pair),
    finding: {
      code: 'neighbours equal',
      marks: [slower.label, faster.label],
      seen: `${markText(slower.label)} and ${markText(faster.label)} give the same time within ${thresholdText('neighbours equal')} (${timesText(pair)}) and should lie ${signedEv(marked)} apart.`,
      suggests: causeOfEquality(pair),
      significance,
      effect: signedEv(read),
      threshold: thresholdText('neighbours equal'),
      method: EQUAL.test,
      readings: idsOf([slower, faster]),
    },
  };
}

function causeOfEquality({ faster, topmost }: Pair): string {
  const first = 'Set the mark anew before cocking, never with force, and read again; then inspect and clean.';
  if (faster.booster) {
    return `Suggests that the booster spring does not engage at ${markText(faster.label)}. ${first}`;
  }
  if (topmost) {
    return `Suggests that a booster spring, if the shutter has one, does not engage; at the very top it is often ordinary ageing. ${first}`;
  }
  return `Suggests that the setting is not seated or that the cam plate has lost the step between them. ${first}`;
}

const fartherOff = ({ slower, faster }: Pair) =>
  Math.abs(slower.meanError) > Math.abs(faster.meanError) ? slower : faster;

const timesText = ({ slower, faster }: Pair) =>
  [slower, faster]
    .map(
      (mark) => `${markText(mark.label)} ${(1000 * mark.reference * 2 ** mark.meanError).toPrecision(3)} ms`,
    )
    .join(', ');
