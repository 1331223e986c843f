import type { Finding, FindingsInput } from '../finding.ts';
import { idsOf, type MeasuredMark, measuredMarks } from './measured-marks.ts';
import { bothTails } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { marksText, signedEv, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['drift over the series'];

/**
 * Change in the course of the firings, whatever the mark: the slope of each reading's deviation from the mean of
 * its mark against its ordinal. A mark's own error does not enter, so the cams can't look like a drift.
 */
export function driftOver(input: FindingsInput): Finding | null {
  const marks = measuredMarks(input).filter(({ readings }) => readings.length >= LIMITS.firings);
  if (marks.length < LIMITS.marks) return null;
  const { slope, variance, dof } = commonSlope(marks);
  const ordinals = marks.flatMap(({ readings }) => readings.map(({ ordinal }) => ordinal));
  const [first, last] = [Math.min(...ordinals), Math.max(...ordinals)];
  const change = slope * (last - first);
  const significance = bothTails(slope, { variance, dof });
  if (!(Math.abs(change) >= LIMITS.practical) || significance > LIMITS.significance!) return null;
  const way = change > 0 ? 'longer' : 'shorter';
  return {
    code: 'drift over the series',
    marks: marks.map(({ label }) => label),
    seen: `From firing ${first} to firing ${last} the times grew ${way} by ${signedEv(change)}, seen within the firings of ${marksText(marks)}.`,
    suggests:
      'Suggests that something changes while you work: the shutter warming or freeing itself as it is exercised, a part coming loose, or the set-up moving. Check light and holder first, fasten what is loose, and read the first mark again. As long as the readings drift, marks are not compared with each other here.',
    significance,
    effect: signedEv(change),
    threshold: thresholdText('drift over the series'),
    method: LIMITS.test,
    readings: idsOf(marks),
  };
}

/** One slope (stops per firing) for all marks, each about its own means; its variance and degrees of freedom. */
function commonSlope(marks: readonly MeasuredMark[]) {
  let products = 0;
  let squares = 0;
  let total = 0;
  let count = 0;
  for (const { readings, errors, meanError } of marks) {
    const middle = readings.reduce((sum, { ordinal }) => sum + ordinal, 0) / readings.length;
    for (const [n, { ordinal }] of readings.entries()) {
      products += (ordinal - middle) * (errors[n]! - meanError);
      squares += (ordinal - middle) ** 2;
      total += (errors[n]! - meanError) ** 2;
    }
    count += readings.length;
  }
  const slope = products / squares;
  const dof = count - marks.length - 1;
  return { slope, dof, variance: Math.max(0, total - slope * products) / dof / squares };
}
