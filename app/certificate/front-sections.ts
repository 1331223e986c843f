/** What the customer reads under the table: work, further checks, what was left untested, remarks. */

import { markText } from '../judge/findings/wording.ts';
import type { Job } from '../record/job.ts';
import type { Section } from './certificate.ts';
import { meterSummary, meterTested } from './exposure-meter-table.ts';
import { capitalised } from './firing-notes.ts';
import { contactSummary, contactTested } from './flash-contact-table.ts';
import { mechanicalSentences, mechanicsNotTested } from './mechanical-checks.ts';
import { textLines } from './particulars.ts';
import { selfTimerSummary, selfTimerTested } from './self-timer-section.ts';
import type { StageResult } from './stage-results.ts';

/** `results`: of all four stages, in the order of the work. */
export function frontSections(job: Job, results: readonly StageResult[]): readonly Section[] {
  const checks = [
    ...contactSummary(job, results),
    ...selfTimerSummary(job),
    ...meterSummary(job),
    ...mechanicalSentences(job),
  ];
  const remarks = textLines(job.work.remarks);
  return [
    workSection(job),
    ...(checks.length === 0 ? [] : [{ heading: 'Further checks', paragraphs: [], items: checks }]),
    notTestedSection(job, results),
    ...(remarks.length === 0 ? [] : [{ heading: 'Remarks', paragraphs: remarks, items: [] }]),
  ];
}

function workSection({ work, steps }: Job): Section {
  const done = textLines(work.done);
  const none = steps.length > 0 ? 'As the steps of work overleaf say.' : 'None noted.';
  return {
    heading: 'Work done',
    paragraphs: [
      ...(done.length === 0 ? [none] : done),
      ...named('Parts', work.parts),
      ...named('Lubricants', work.lubricants),
    ],
    items: [],
  };
}

function named(label: string, text: string): readonly string[] {
  const lines = textLines(text);
  return lines.length === 0 ? [] : [`${label}: ${lines.join('; ')}`];
}

/** Sorts of test that nothing was recorded of, checks of the list that were not made, and marks left out. */
function notTestedSection(job: Job, results: readonly StageResult[]): Section {
  const contact = contactTested(job, results);
  const timer = selfTimerTested(job);
  const [first] = results;
  const untouched = (first?.marks ?? []).flatMap(({ speed: { label } }, index) =>
    results.some(({ marks }) => marks[index]!.touched) ? [] : [markText(label)],
  );
  const allUntouched = untouched.length > 0 && untouched.length === first?.marks.length;
  // Named once: with the readings that were not made, or not at all where they were.
  const elsewhere = new Set(['flash contact', 'self-timer']);
  const unseen = new Set(
    job.mechanics.filter(({ state }) => state === 'not tested').map(({ name }) => name.trim().toLowerCase()),
  );
  const items = [
    ...(allUntouched ? ['shutter speeds'] : []),
    ...(contact ? [] : [unseen.has('flash contact') ? 'flash contact' : 'timing of the flash contact']),
    ...(timer ? [] : [unseen.has('self-timer') ? 'self-timer' : 'delay of the self-timer']),
    ...(meterTested(job) ? [] : ['exposure meter']),
    ...(allUntouched ? [] : ['exposure times with the iris stopped down', 'evenness across the frame']),
    ...(job.mechanics.length === 0
      ? ['mechanics', 'focus', 'film transport', 'tightness to light']
      : mechanicsNotTested(job, elsewhere)),
  ];
  return {
    heading: 'What was not tested',
    paragraphs: [
      ...(items.length === 0 ? [] : [`${capitalised(items.join('; '))}.`]),
      ...(untouched.length === 0 || allUntouched
        ? []
        : [`Marks that were not tried: ${untouched.join(', ')}.`]),
    ],
    items: [],
  };
}
