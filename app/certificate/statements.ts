/** The sentences that stand on each certificate: method, decision rule, what was not tested, limits. */

import { bandWords } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import type { Section } from './certificate.ts';
import { countedFirings, markInWords, type StageResult } from './stage-results.ts';

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

export function decisionRuleSection(job: Job): Section {
  const { 'as found': foundLeast, 'as left': leftLeast } = job.leastFirings;
  const own = Object.keys(job.bands).length > 0 ? ' unless the table shows another' : '';
  const reference =
    job.referenceRule === 'exact'
      ? 'Marks are compared with the times of the exact doubling series they stand for (1/60 for 1/64 s, 1/125 for 1/128 s); marks outside that series with the engraved time.'
      : 'Marks are compared with the time as engraved (1/60 for 16.7 ms).';
  return section('Decision rule', [
    `Simple acceptance: a mark is within its band when the mean error of its firings lies within the limits of the band, the limits included. The band is ${bandWords(job.band)}${own}; it was chosen for this job and is taken from no standard. No verdict is given below ${foundLeast} firings as found and ${leftLeast} as left.`,
    reference,
    'The measurement uncertainty of these readings has not been stated and no allowance is made for it: a mean close to a limit may in truth lie on its other side.',
  ]);
}

export function notTestedSection(found: StageResult, left: StageResult): Section {
  const items = [
    'Flash contact (X and M synchronisation, delay, bounce)',
    'Self-timer',
    'Exposure meter',
    'Iris, and exposure times when stopped down',
    'Evenness of exposure across the frame',
    'Focus, rangefinder, film transport, tightness to light',
  ];
  const untouched = found.marks.flatMap((mark, index) =>
    mark.touched || left.marks[index]!.touched ? [] : [markInWords(mark.speed.label)],
  );
  if (untouched.length > 0)
    items.push(`Marks on the speed ring that were not tried: ${untouched.join(', ')}`);
  return section('What was not tested', [], items);
}

export function limitsSection(practice: boolean, invented: boolean): Section {
  const items = [
    'This is not an accredited calibration certificate: no accreditation body has assessed these measurements.',
    'The results relate only to the item described above, in the state and at the dates given.',
  ];
  if (practice) items.push('Readings taken on the practice bench say nothing about any real shutter.');
  if (invented) items.push('Customer, camera and job are invented, for demonstration.');
  return section('Limits of this certificate', [], items);
}

export const leftOutSection = (total: number, notCounted: number, items: readonly string[]): Section =>
  section(
    'Firings left out or moved',
    [
      notCounted === 0
        ? `All ${total} recorded firings were counted; none was spoilt or set aside.`
        : `${notCounted} of ${total} recorded firings were kept but not counted.`,
    ],
    items,
  );

export const remarksSection = (items: readonly string[]): Section =>
  section('Remarks on the readings', items.length === 0 ? ['None.'] : [], items);
