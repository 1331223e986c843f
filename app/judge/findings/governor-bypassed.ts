import type { Finding } from '../finding.ts';
import { idsOf, type MeasuredMark } from './measured-marks.ts';
import { upperTail } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { evText, markText, signedEv, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['governor bypassed'];

/** All governed marks far too short, each of them reliably: the governor does next to nothing. */
export function governorBypassed(marks: readonly MeasuredMark[]): Finding | null {
  const governed = marks.filter((mark) => mark.governed);
  if (governed.length < LIMITS.marks) return null;
  const errors = governed.map(({ meanError }) => meanError);
  const leastShort = Math.max(...errors);
  if (leastShort > -LIMITS.practical) return null;
  // Every mark must be short: the claim is as doubtful as it is at the most doubtful of them.
  const significance = Math.max(...governed.map((mark) => upperTail(-mark.meanError, mark.ofSound)));
  if (significance > LIMITS.significance!) return null;
  const times = governed.map(({ reference, meanError }) => 1000 * reference * 2 ** meanError);
  const [shortest, longest] = [Math.min(...times).toFixed(1), Math.max(...times).toFixed(1)];
  return {
    code: 'governor bypassed',
    marks: governed.map(({ label }) => label),
    seen: `All governed marks are far too short, by ${evText(leastShort)} to ${evText(Math.min(...errors))}: from ${markText(governed[0]!.label)} to ${markText(governed.at(-1)!.label)} they open for ${shortest === longest ? shortest : `${shortest} to ${longest}`} ms.`,
    suggests:
      'Suggests that the governor is bypassed or not engaged: look whether it is in place, its lever on the cam and its train free to run. Inspect and clean before anything is adjusted.',
    significance,
    effect: signedEv(leastShort),
    threshold: thresholdText('governor bypassed'),
    method: LIMITS.test,
    readings: idsOf(governed),
  };
}
