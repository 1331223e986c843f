/** The sentences that stand on each certificate: method, decision rule, what was not tested, limits. */

import { markText } from '../judge/findings/wording.ts';
import { bandWords, limitInStops, ruleWords } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import type { CertificateInput, Section } from './certificate.ts';
import { capitalised } from './firing-notes.ts';
import { stageFindings } from './stage-findings.ts';
import { countedFirings, type StageResult } from './stage-results.ts';

const section = (heading: string, paragraphs: readonly string[], items: readonly string[] = []): Section => ({
  heading,
  paragraphs,
  items,
});

export function methodSection(stages: readonly StageResult[]): Section {
  const counted = stages.flatMap(countedFirings);
  const timed = counted.filter((firing) =>
    firing.figures.remarks.some((remark) => remark.code === 'open time only'),
  ).length;
  const sampled =
    'Each time is an effective exposure time: light through the shutter, sampled with a photodiode, summed from edge to edge and divided by the light of the fully open shutter, light after closing left out.';
  const edges =
    'Each time is an open time: the board timed the coming and going of the light with a comparator, so that the slopes of opening and closing are not weighed.';
  const first =
    timed === 0
      ? sampled
      : timed === counted.length
        ? edges
        : `${sampled.slice(0, -1)}; for the firings remarked 'open time from a comparator', the open time stands in its place.`;
  return section('Method', [
    `${first} The mean of a mark is taken in EV (the geometric mean of its times), the spread is the sample standard deviation of its firings, in EV.`,
  ]);
}

export function decisionRuleSection(job: Job, stages: readonly StageResult[]): Section {
  const { 'as found': foundLeast, 'as left': leftLeast } = job.leastFirings;
  const own = Object.keys(job.bands).length > 0 ? ' unless the table shows another' : '';
  const unit =
    job.bandUnit === '%'
      ? ' Limits in percent of the time are converted to EV before they are compared.'
      : '';
  const single =
    job.decisionRule === 'simple' && Math.min(foundLeast, leftLeast) === 1
      ? ' For a single firing no uncertainty can be stated, and its verdict stands without one.'
      : '';
  const reference =
    job.referenceRule === 'exact'
      ? 'Marks are compared with the times of the exact doubling series they stand for (1/60 for 1/64 s, 1/125 for 1/128 s); marks outside that series with the engraved time.'
      : 'Marks are compared with the time as engraved (1/60 for 16.7 ms).';
  const spread =
    job.spreadLimit === null
      ? 'No limit was set for the spread of the firings, and nothing is said of whether a mark repeats.'
      : `Whether a mark repeats is a statement of its own: it is steady when the standard deviation of its firings is not above ${limitInStops(job.spreadLimit)}, erratic beyond.`;
  return section(
    'Decision rule',
    [
      `${ruleWords(job.decisionRule)} The band is ${bandWords(job.band, job.bandUnit)}${own}; it was chosen for this job and is taken from no standard.${unit} No verdict is given below ${foundLeast} ${foundLeast === 1 ? 'firing' : 'firings'} as found and ${leftLeast} as left.${single}`,
      `${reference} ${spread}`,
    ],
    stages.filter(({ taken }) => taken).map(conformingSentence),
  );
}

/** Which results conform: ISO/IEC 17025:2017, 7.8.6.2. */
function conformingSentence({ stage, marks }: StageResult): string {
  const labels = marks
    .filter(({ verdict }) => verdict === 'within')
    .map(({ speed }) => markText(speed.label));
  return `${capitalised(stage)}, the results that conform to their bands by this rule: ${labels.length === 0 ? 'none' : labels.join(', ')}.`;
}

/** What the readings suggest, with the evidence. Short: the whole of it stands on the screen. */
export function findingsSection(job: Job, stages: readonly StageResult[]): Section {
  const items = stages.flatMap((result) =>
    stageFindings(job.profile, result).map((finding) => {
      const { seen, suggests, effect, threshold, significance, method } = finding;
      const chance = significance === null ? method : `${probabilityWords(significance)}, ${method}`;
      return `${capitalised(result.stage)}: ${seen} ${suggests} (Effect ${effect}, counted from ${threshold}; ${chance}.)`;
    }),
  );
  return section(
    'What the readings suggest',
    [
      items.length === 0
        ? 'Nothing: no pattern in the readings reaches both its least size and its significance.'
        : 'Suggestions from patterns in the readings, none of them certain, and no part of the results.',
    ],
    items,
  );
}

const probabilityWords = (p: number) => (p < 0.001 ? 'p < 0.001' : `p = ${p.toPrecision(2)}`);

export function limitsSection(
  title: CertificateInput['title'],
  timed: boolean,
  practice: boolean,
  invented: boolean,
): Section {
  const items = [
    'This is not an accredited calibration certificate: no accreditation body has assessed it.',
    'The results relate only to the item described above, in the state and at the dates given.',
    `What the customer stated (complaint, description of the item) is given as stated. To be passed on whole: parts of a ${title} can mislead.`,
  ];
  if (timed)
    items.push(
      'Times rest on the clocks named under Instrument; no traceability to a national standard is claimed.',
    );
  if (practice) items.push('Readings taken on the practice bench say nothing about any real shutter.');
  if (invented) items.push('Customer, camera and job are invented, for demonstration.');
  return section(`Limits of this ${title}`, [], items);
}

function countedWords(total: number, notCounted: number): string {
  if (notCounted > 0) return `${notCounted} of ${total} recorded firings were kept but not counted.`;
  return `${total === 1 ? 'The one recorded firing was' : `All ${total} recorded firings were`} counted; none was spoilt or set aside.`;
}

export const leftOutSection = (total: number, notCounted: number, items: readonly string[]): Section =>
  section('Firings left out or moved', [countedWords(total, notCounted)], items);

export const remarksSection = (items: readonly string[]): Section =>
  section('Remarks on the readings', items.length === 0 ? ['None.'] : [], items);
