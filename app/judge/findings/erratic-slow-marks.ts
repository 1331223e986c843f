import fCdf from '@stdlib/stats-base-dists-f-cdf';
import type { Finding, FindingMark } from '../finding.ts';
import { idsOf, type MeasuredMark, pooledSpread } from './measured-marks.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { countText, evText, marksText, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['slow marks erratic'];
/** 1/15 s and slower, whichever series (s). */
const SLOW = 0.06;

/** Slow governed marks that scatter far more than the others. `all`: with what was recorded besides firings. */
export function erraticSlowMarks(
  marks: readonly MeasuredMark[],
  all: readonly FindingMark[],
): Finding | null {
  const enough = marks.filter(({ readings }) => readings.length >= LIMITS.firings);
  const slow = enough.filter((mark) => mark.governed && mark.reference >= SLOW);
  const others = enough.filter((mark) => !slow.includes(mark));
  if (slow.length < LIMITS.marks || others.length < LIMITS.marks) return null;
  const own = pooledSpread(slow);
  const theirs = pooledSpread(others);
  const sd = Math.sqrt(own.variance);
  if (sd < LIMITS.practical) return null;
  // The upper tail of F is the lower tail of its reciprocal with the degrees of freedom exchanged.
  const significance = fCdf(theirs.variance / own.variance, theirs.dof, own.dof);
  if (significance > LIMITS.significance!) return null;
  const labels = slow.map(({ label }) => label);
  const hung = all.filter(
    ({ label, outcome, readings }) =>
      labels.includes(label) &&
      (outcome === 'stuck open' ||
        readings.some(({ figures }) => figures.remarks.some(({ code }) => code === 'never closed'))),
  );
  const stalled = hung.length === 0 ? '' : ` At ${marksText(hung)} the blades stayed open at least once.`;
  return {
    code: 'slow marks erratic',
    marks: labels,
    seen: `Single firings at ${marksText(slow)} scatter by ${evText(sd)} (SD), at the ${countText(others.length, 'other mark')} by ${evText(Math.sqrt(theirs.variance))}.${stalled}`,
    suggests:
      'Suggests a dirty or worn governor. Inspect and clean it first, then read the slow marks again before anything is adjusted.',
    significance,
    effect: evText(sd),
    threshold: thresholdText('slow marks erratic'),
    method: LIMITS.test,
    readings: idsOf(slow),
  };
}
