import type { Finding, FindingMark } from '../finding.ts';
import type { MeasuredMark } from './measured-marks.ts';
import { combinedVariance, upperTail } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { capital, countText, marksText, signedEv, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['gummed lubricant'];

/** First firings after a rest that are longer than the others of their marks. */
export function longAfterRest(marks: readonly MeasuredMark[], all: readonly FindingMark[]): Finding | null {
  const rested = marks.flatMap((mark) => {
    if (mark.readings.length < LIMITS.firings) return [];
    const first = all
      .find(({ label }) => label === mark.label)!
      .readings.filter(({ afterRest }) => afterRest);
    const longer = first.flatMap(({ time }) =>
      time === null ? [] : Math.log2(time / mark.reference) - mark.meanError,
    );
    return longer.length === 0 ? [] : [{ mark, first, longer }];
  });
  const count = rested.reduce((sum, { longer }) => sum + longer.length, 0);
  if (count < LIMITS.firings) return null;
  const mean = rested.reduce((sum, { longer }) => sum + longer.reduce((a, b) => a + b, 0), 0) / count;
  // Without an effect each of them scatters like the others of its mark, about a mean that is uncertain itself.
  const of = combinedVariance(
    rested.map(({ mark, longer }) => ({
      weight: longer.length / count,
      variance: mark.spread.variance * (1 / longer.length + 1 / mark.readings.length),
      dof: mark.spread.dof,
    })),
  );
  const significance = upperTail(mean, of);
  if (mean < LIMITS.practical || significance > LIMITS.significance!) return null;
  const where = rested.map(({ mark }) => mark);
  return {
    code: 'gummed lubricant',
    marks: where.map(({ label }) => label),
    seen: `${capital(countText(count, 'firing'))} after a rest, at ${marksText(where)}, came out longer than the next ones of their marks by ${signedEv(mean)} in the mean.`,
    suggests:
      'Suggests lubricant that has gummed and sets when the shutter rests; exercising hides it for a while. Clean before anything is adjusted, and read again after a night’s rest.',
    significance,
    effect: signedEv(mean),
    threshold: thresholdText('gummed lubricant'),
    method: LIMITS.test,
    readings: rested.flatMap(({ mark, first }) => [...first, ...mark.readings].map(({ id }) => id)),
  };
}
