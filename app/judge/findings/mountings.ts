/** Readings in the body against readings out of it. */
import type { Finding, FindingReading, FindingsInput } from '../finding.ts';
import { idsOf, type MeasuredMark, measuredMarks } from './measured-marks.ts';
import { amongTrials, bothTails, combinedVariance } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { markText, signedEv, thresholdText } from './wording.ts';

const LIMITS = FINDING_THRESHOLDS['bench and body differ'];

const inBody = ({ mounting }: FindingReading) => mounting === 'in the body';
const onBench = ({ mounting }: FindingReading) => mounting === 'bare' || mounting === 'front plate fastened';

/** The readings of one way of mounting alone. */
function withReadings(input: FindingsInput, keep: (reading: FindingReading) => boolean): FindingsInput {
  return {
    ...input,
    marks: input.marks.map((mark) => ({ ...mark, readings: mark.readings.filter(keep) })),
  };
}

/** `rest`: the readings that may still be compared with each other, those of the state with more of them. */
export function benchAgainstBody(
  input: FindingsInput,
): { readonly finding: Finding; readonly rest: FindingsInput } | null {
  const [bodyInput, benchInput] = [withReadings(input, inBody), withReadings(input, onBench)];
  const enough = ({ readings }: MeasuredMark) => readings.length >= LIMITS.firings;
  const bench = measuredMarks(benchInput).filter(enough);
  const both = measuredMarks(bodyInput)
    .filter(enough)
    .flatMap((body) => {
      const bare = bench.find(({ label }) => label === body.label);
      return bare === undefined ? [] : [{ body, bare }];
    });
  const differing = both
    .map(({ body, bare }) => {
      const difference = body.meanError - bare.meanError;
      const of = combinedVariance([
        { weight: 1, ...body.ofFirings },
        { weight: 1, ...bare.ofFirings },
      ]);
      return { body, bare, difference, significance: amongTrials(bothTails(difference, of), both.length) };
    })
    .filter(
      ({ difference, significance }) =>
        Math.abs(difference) >= LIMITS.practical && significance <= LIMITS.significance!,
    );
  if (differing.length === 0) return null;
  const largest = differing.reduce((a, b) => (Math.abs(b.difference) > Math.abs(a.difference) ? b : a));
  const finding: Finding = {
    code: 'bench and body differ',
    marks: differing.map(({ body }) => body.label),
    seen: `In the body the times differ from those out of it: ${differing.map(({ body, difference }) => `${signedEv(difference)} at ${markText(body.label)}`).join(', ')}.`,
    suggests:
      'Suggests strain from the mounting, or the coupling of release and cocking: look at the seat, the screws and the linkage with the shutter loosened, and clean them, before anything inside is adjusted. What counts is the reading in the body.',
    significance: largest.significance,
    effect: signedEv(largest.difference),
    threshold: thresholdText('bench and body differ'),
    method: LIMITS.test,
    readings: differing.flatMap(({ body, bare }) => idsOf([bare, body])),
  };
  const count = ({ marks }: FindingsInput) => marks.reduce((sum, { readings }) => sum + readings.length, 0);
  return { finding, rest: count(bodyInput) >= count(benchInput) ? bodyInput : benchInput };
}
