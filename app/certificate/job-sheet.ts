/**
 * The job sheet: everything the workshop noted of a job, for its own file. All of it strings, before anything is
 * drawn; pictures are named here and travel beside.
 */
import { whyNotCounted } from '../judge/counted-readings.ts';
import { governorSentence } from '../judge/work-effect-sentences.ts';
import { workEffects } from '../judge/work-effects.ts';
import { type Job, STAGES } from '../record/job.ts';
import type { CertificateInput, CertificateTable, FieldGroup, PaperHead, Section } from './certificate.ts';
import { type Calendar, momentOf } from './dates.ts';
import { meterTables } from './exposure-meter-table.ts';
import { movedSentences, notCountedSentences, remarkSentences, suspectSentences } from './firing-notes.ts';
import { contactTables, contactTested } from './flash-contact-table.ts';
import { mechanicalTables, mechanicsNotTested } from './mechanical-checks.ts';
import { otherStageTables } from './other-stages.ts';
import { paperHeadOf } from './paper-head.ts';
import { particulars, textLines } from './particulars.ts';
import { settled } from './plain-text.ts';
import { selfTimerSections, selfTimerTested } from './self-timer-section.ts';
import { type StageResult, stageResult } from './stage-results.ts';
import { findingsSection, leftOutSection, remarksSection } from './statements.ts';
import { DASH } from './stops-text.ts';
import { workAmidSentences } from './work-amid-readings.ts';
import { workStepTables } from './work-steps-table.ts';

/** Drawn in the order given. */
export type JobSheetPart =
  | { readonly kind: 'section'; readonly section: Section }
  | { readonly kind: 'table'; readonly table: CertificateTable };

export interface JobSheetPicture {
  /** Of the Picture in the record. */
  readonly id: string;
  /** When it was taken and what was noted with it. */
  readonly caption: string;
}

export interface JobSheetContent extends PaperHead {
  readonly kind: 'job sheet';
  readonly subtitle: string;
  readonly notices: readonly string[];
  readonly particulars: readonly FieldGroup[];
  readonly parts: readonly JobSheetPart[];
  /** Those the user picked, oldest first. */
  readonly pictures: readonly JobSheetPicture[];
  readonly picturesHeading: string;
  /** In place of a picture that can't be read. */
  readonly pictureMissing: string;
}

/**
 * The same input gives the same content.
 *
 * @throws RangeError if `issued` is no date, the number is empty or the time zone unknown.
 */
export function jobSheetContent(input: CertificateInput): JobSheetContent {
  const { job, timeZone, dates: style, unreadable = 0 } = input;
  const calendar: Calendar = { timeZone, style };
  const firings = input.firings.filter((firing) => firing.jobId === job.id);
  const results = STAGES.map((stage) => stageResult(job, firings, stage));
  const notes = job.notes.filter(({ onJobSheet }) => onJobSheet);
  return settled({
    ...paperHeadOf(input, {
      title: `Job ${job.number}`,
      numberWords: 'job sheet no.',
      practice: firings.some(({ board }) => board.practice),
    }),
    kind: 'job sheet',
    subtitle: 'Job sheet, for the workshop.',
    notices: [
      ...(job.invented ? ['Demonstration: customer, camera and job are invented.'] : []),
      ...(unreadable === 0
        ? []
        : [
            `${unreadable} ${unreadable === 1 ? 'firing' : 'firings'} of this job could not be read and ${unreadable === 1 ? 'is' : 'are'} not in these figures.`,
          ]),
    ],
    particulars: particulars(
      input,
      results.filter(({ stage }) => stage === 'as found' || stage === 'as left'),
      calendar,
    ),
    parts: [
      table(stateTable(job, calendar)),
      ...otherStageTables(job, results).map(table),
      ...readingSections(job, results).map(section),
      ...workStepTables(job, results, calendar).map(table),
      ...governorSections(job, results).map(section),
      section(workSection(job)),
      ...contactTables(job, results).map(table),
      ...selfTimerSections(job).map(section),
      ...meterTables(job).map(table),
      ...mechanicalTables(job).map(table),
      ...notTestedSections(job, results).map(section),
      ...noteSections(notes, calendar).map(section),
      ...issuedTables(job, calendar).map(table),
    ],
    pictures: notes.flatMap(({ picture, at, text }) =>
      picture === null
        ? []
        : [
            {
              id: picture,
              caption: [momentOf(at, calendar), text.trim()].filter((one) => one !== '').join(': '),
            },
          ],
    ),
    picturesHeading: 'Pictures',
    pictureMissing: 'This picture could not be read.',
  });
}

const section = (one: Section): JobSheetPart => ({ kind: 'section', section: one });
const table = (one: CertificateTable): JobSheetPart => ({ kind: 'table', table: one });

function stateTable({ states }: Job, calendar: Calendar): CertificateTable {
  return {
    heading: 'States',
    columns: [
      { head: 'Since', align: 'left' },
      { head: 'State', align: 'left' },
    ],
    rows: states.map(({ state, at }) => [momentOf(at, calendar), state]),
    notes: [],
  };
}

/** What the tables of readings don't hold: firings left out, remarks, findings. None without a firing. */
function readingSections(job: Job, results: readonly StageResult[]): readonly Section[] {
  const firings = results.flatMap((result) => result.firings);
  if (firings.length === 0) return [];
  const notCounted = firings.filter((firing) => whyNotCounted(firing) !== null).length;
  return [
    leftOutSection(
      firings.length,
      notCounted,
      results.flatMap((result) => [
        // Those after a rest stand with the readings that were taken for their sake.
        ...notCountedSentences(result, (why) => result.stage !== 'after rest' || why !== 'after rest'),
        ...movedSentences(result),
      ]),
    ),
    remarksSection(
      results.flatMap((result) => [
        ...workAmidSentences(job.steps, result),
        ...remarkSentences(result),
        ...suspectSentences(result),
      ]),
    ),
    findingsSection(
      job,
      results.filter(({ taken }) => taken),
    ),
  ];
}

/** How much more of the governor the readings suggest, or why nothing; for the last work on it alone. */
function governorSections(job: Job, results: readonly StageResult[]): readonly Section[] {
  const { steps, series, referenceRule, profile } = job;
  const readings = results.flatMap(({ firings }) => firings);
  const last = workEffects({ steps, readings, series, referenceRule, profile }).at(-1)?.governor ?? null;
  return last === null ? [] : [{ heading: 'Governor', paragraphs: [governorSentence(last)], items: [] }];
}

function workSection({ work }: Job): Section {
  const named = (label: string, text: string) => {
    const lines = textLines(text).map((line) => line.replace(/\.$/, ''));
    return `${label}: ${lines.length === 0 ? DASH : `${lines.join('; ')}.`}`;
  };
  return {
    heading: 'Work',
    paragraphs: [
      named('Done', work.done),
      named('Parts', work.parts),
      named('Lubricants', work.lubricants),
      named('Remarks', work.remarks),
    ],
    items: [],
  };
}

/** Checks of the list that nothing else of this job stands for. */
function notTestedSections(job: Job, results: readonly StageResult[]): readonly Section[] {
  const elsewhere = new Set([
    ...(contactTested(job, results) ? ['flash contact'] : []),
    ...(selfTimerTested(job) ? ['self-timer'] : []),
  ]);
  const names = mechanicsNotTested(job, elsewhere);
  if (names.length === 0) return [];
  return [{ heading: 'Not tested', paragraphs: [`${names.join('; ')}.`], items: [] }];
}

/** Those without a picture; the others stand under theirs. */
function noteSections(notes: Job['notes'], calendar: Calendar): readonly Section[] {
  const items = notes.flatMap(({ at, text, picture }) =>
    picture === null && text.trim() !== '' ? [`${momentOf(at, calendar)}: ${text.trim()}`] : [],
  );
  return items.length === 0 ? [] : [{ heading: 'Notes', paragraphs: [], items }];
}

function issuedTables({ issued }: Job, calendar: Calendar): readonly CertificateTable[] {
  if (issued.length === 0) return [];
  return [
    {
      heading: 'Papers handed out',
      columns: [
        { head: 'When', align: 'left' },
        { head: 'Paper', align: 'left' },
        { head: 'Number', align: 'left' },
        { head: 'SHA-256 of its data', align: 'left' },
      ],
      rows: issued.map(({ kind, number, at, dataSha256 }) => [
        momentOf(at, calendar),
        kind,
        number,
        dataSha256 === null ? DASH : `${dataSha256.slice(0, 16)}…`,
      ]),
      notes: [],
    },
  ];
}
