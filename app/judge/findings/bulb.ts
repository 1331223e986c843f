import type { Finding, FindingMark, FindingReading } from '../finding.ts';
import { FINDING_THRESHOLDS, SHORTEST_PRESS } from './thresholds.ts';
import { countText, marksText, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['B or T hangs'];

/** Marks without a time that don't close, or close before a hand could have let go. */
export function bulbHangs(marks: readonly FindingMark[]): Finding | null {
  const bulbs = marks.filter(({ reference }) => reference === null);
  const stuck = bulbs.filter(({ outcome }) => outcome === 'stuck open');
  const open = bulbs.flatMap(({ readings }) => readings.filter(neverClosed));
  const short = bulbs.flatMap(({ readings }) => readings.filter(closedEarly));
  const count = open.length + short.length;
  if (stuck.length === 0 && count < LIMITS.practical) return null;
  const parts = [
    ...(stuck.length > 0 ? [`${marksText(stuck)} is recorded as stuck open`] : []),
    ...(open.length > 0 ? [`${countText(open.length, 'firing')} never closed`] : []),
    ...(short.length > 0
      ? [
          `${countText(short.length, 'firing')} closed within ${1000 * SHORTEST_PRESS} ms, sooner than a hand lets go`,
        ]
      : []),
  ];
  const concerned = bulbs.filter(
    (mark) => stuck.includes(mark) || mark.readings.some((one) => neverClosed(one) || closedEarly(one)),
  );
  return {
    code: 'B or T hangs',
    marks: concerned.map(({ label }) => label),
    seen: `At ${marksText(concerned)}: ${parts.join('; ')}.`,
    suggests: `Suggests the lever or the pallet that serves ${marksText(concerned)}. If it was held open on purpose, set those firings aside; otherwise inspect and clean there first, and close the blades without force.`,
    significance: null,
    effect: countText(Math.max(count, stuck.length), 'firing'),
    threshold: thresholdText('B or T hangs'),
    method: LIMITS.test,
    readings: [...open, ...short].map(({ id }) => id),
  };
}

const neverClosed = ({ figures }: FindingReading) =>
  figures.remarks.some(({ code }) => code === 'never closed');

const closedEarly = ({ counted, time }: FindingReading) => counted && time !== null && time < SHORTEST_PRESS;
