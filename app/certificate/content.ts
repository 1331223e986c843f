import { missingWords } from '../judge/budget-words.ts';
import { whyNotCounted } from '../judge/counted-readings.ts';
import { type Job, STAGES } from '../record/job.ts';
import type {
  CertificateContent,
  CertificateInput,
  CertificateTable,
  CertifiedFiring,
  PaperHead,
  Section,
} from './certificate.ts';
import { checksSection } from './checks-section.ts';
import { assemblyComparison, instrumentComparison, setUpComparison } from './comparisons.ts';
import { hashStatement } from './data-file.ts';
import { dataSection } from './data-section.ts';
import { type Calendar, dateOf } from './dates.ts';
import { meterTables } from './exposure-meter-table.ts';
import { movedSentences, notCountedSentences, remarkSentences, suspectSentences } from './firing-notes.ts';
import { contactTables } from './flash-contact-table.ts';
import { frontSections } from './front-sections.ts';
import { mechanicalTables } from './mechanical-checks.ts';
import { otherStageTables } from './other-stages.ts';
import { overleafTables } from './overleaf-tables.ts';
import { paperHeadOf } from './paper-head.ts';
import { particulars } from './particulars.ts';
import { settled } from './plain-text.ts';
import { resultSection } from './result-section.ts';
import { selfTimerSections } from './self-timer-section.ts';
import { type StageResult, stageResult } from './stage-results.ts';
import {
  decisionRuleSection,
  findingsSection,
  leftOutSection,
  limitsSection,
  methodSection,
  remarksSection,
} from './statements.ts';
import { chartContent, tableRows } from './table-rows.ts';
import { workAmidSentences } from './work-amid-readings.ts';
import { workStepTables } from './work-steps-table.ts';

const PRACTICE_NOTICE = 'Practice bench: these readings are of a simulated shutter.';
const PART_PRACTICE_NOTICE =
  'Practice bench: some of these readings are of a simulated shutter (see Instrument).';
const INVENTED_NOTICE = 'Demonstration: customer, camera and job are invented.';

/** The firings that a certificate reads, and what they come to at each stage. */
interface Read {
  readonly firings: readonly CertifiedFiring[];
  /** Of all four stages, in the order of the work. */
  readonly results: readonly StageResult[];
  readonly found: StageResult;
  readonly left: StageResult;
  readonly practice: boolean;
}

/**
 * Every string and number of a certificate, frozen. The same input gives the same content: nothing is read
 * from a clock. Texts come out in Unicode's composed form (NFC), control characters as spaces.
 *
 * @throws RangeError if `issued` is no date, the certificate number is empty or the time zone unknown.
 */
export function certificateContent(input: CertificateInput): CertificateContent {
  const { job, timeZone, dates: style } = input;
  const calendar: Calendar = { timeZone, style };
  const firings = input.firings.filter((firing) => firing.jobId === job.id);
  const results = STAGES.map((stage) => stageResult(job, firings, stage));
  const of = (stage: (typeof STAGES)[number]) => results.find((result) => result.stage === stage)!;
  const practice = firings.some((firing) => firing.board.practice);
  const read: Read = { firings, results, found: of('as found'), left: of('as left'), practice };
  const stages = [read.found, read.left];
  const rows = tableRows(stages, job);
  const detailed = firings.length > 0;
  return settled({
    ...headOf(input, read),
    kind: 'certificate',
    subtitle: `${detailed ? 'Exposure times at the marked speeds, as found and as left.' : 'What was examined and done; no firing was read.'} Not an accredited calibration certificate.`,
    keywords: input.dataFile === null ? '' : hashStatement(input.dataFile.sha256),
    notices: notices(input, read),
    particulars: particulars(input, stages, calendar),
    result: resultSection(stages, job.steps),
    rows,
    plainKey: rows.length === 0 ? [] : plainKey(detailed),
    front: frontSections(job, results),
    detailsHeading: 'Details of the measurement',
    key: detailed ? detailedKey(job, stages) : [],
    chart: chartContent(stages),
    tables: tables(job, read, calendar),
    comparisons: detailed
      ? [
          assemblyComparison(job, read.found, read.left),
          setUpComparison(job, read.found, read.left),
          instrumentComparison(read.found, read.left),
        ]
      : results.some(({ taken }) => taken)
        ? [assemblyComparison(job, read.found, read.left)]
        : [],
    sections: sections(input, read, calendar),
    signature: {
      name: input.workshop.signatory.trim() || input.workshop.name.trim(),
      date: dateOf(input.issued, calendar),
      line: 'Authorised by',
    },
  });
}

/** @throws RangeError as certificateContent. */
const headOf = (input: CertificateInput, { firings, practice }: Read): PaperHead =>
  paperHeadOf(input, {
    title: `${input.title === 'certificate' ? 'Certificate' : 'Test report'} ${firings.length > 0 ? 'of shutter speeds' : 'of examination'}`,
    numberWords: `${input.title} no.`,
    practice,
  });

function notices({ job, unreadable = 0 }: CertificateInput, { firings }: Read): readonly string[] {
  const practice = firings.filter((firing) => firing.board.practice).length;
  return [
    ...(practice === 0 ? [] : [practice === firings.length ? PRACTICE_NOTICE : PART_PRACTICE_NOTICE]),
    ...(job.invented ? [INVENTED_NOTICE] : []),
    ...(unreadable === 0
      ? []
      : [
          `${unreadable} ${unreadable === 1 ? 'firing' : 'firings'} of this job could not be read and ${unreadable === 1 ? 'is' : 'are'} not in these figures.`,
        ]),
  ];
}

const plainKey = (detailed: boolean): readonly string[] => [
  `Real speed: the mean of the firings. Error in stops, which are EV: + is slow, longer than marked and more exposure; − is fast. One stop doubles or halves the exposure. ${detailed ? 'Uncertainty, firings and all other figures stand overleaf.' : ''}`,
];

const detailedKey = (job: Job, stages: readonly StageResult[]): readonly string[] => [
  'Error: mean of the firings against the reference time, in EV; 1 EV is one stop. + is slow, longer than marked: more exposure. − is fast. U: its expanded uncertainty for a coverage of about 95 %; coverage factor and budget stand below.',
  ...notInUncertainty(stages),
  `SD: how much single firings scatter about their mean, in EV${job.spreadLimit === null ? '' : ', and whether the mark repeats'}. n: firings counted. P: probability that the true mean error lies within the band (JCGM 106:2012).`,
];

/** Beside U, so that neither U nor P is taken for more than it is; the marks stand with the budget. */
function notInUncertainty(stages: readonly StageResult[]): readonly string[] {
  const missing = new Set(
    stages.flatMap(({ marks }) => marks.flatMap(({ budget }) => budget?.notStated ?? [])),
  );
  return missing.size === 0
    ? []
    : [`Not stated for all readings, and therefore not fully in U and P: ${missingWords([...missing])}.`];
}

function tables(
  job: Job,
  { firings, results, found, left }: Read,
  calendar: Calendar,
): readonly CertificateTable[] {
  const others = results.filter((result) => result !== found && result !== left);
  return [
    ...(firings.length === 0 ? [] : overleafTables(job, found, left)),
    ...otherStageTables(job, others),
    ...workStepTables(job, results, calendar),
    ...contactTables(job, results),
    ...meterTables(job),
    ...mechanicalTables(job),
  ];
}

function sections(input: CertificateInput, read: Read, calendar: Calendar): readonly Section[] {
  const { job, dataFile } = input;
  const { firings, results, found, left, practice } = read;
  const stages = [found, left];
  const ofReadings = [
    findingsSection(job, stages.toReversed()),
    checksSection(job, results, calendar),
    methodSection(stages),
    decisionRuleSection(job, stages.toReversed()),
    leftOutSection(
      firings.length,
      firings.filter((firing) => whyNotCounted(firing) !== null).length,
      results.flatMap((result) => [
        // Those after a rest stand with the readings that were taken for their sake.
        ...notCountedSentences(result, (why) => result.stage !== 'after rest' || why !== 'after rest'),
        ...movedSentences(result),
      ]),
    ),
    remarksSection(
      results.flatMap((stage) => [
        ...workAmidSentences(job.steps, stage),
        ...remarkSentences(stage),
        ...suspectSentences(stage),
      ]),
    ),
  ];
  return [
    ...selfTimerSections(job),
    ...(firings.length === 0 ? [] : ofReadings),
    ...(dataFile === null ? [] : [dataSection(dataFile)]),
    limitsSection(input.title, firings.length > 0, practice, job.invented),
  ];
}
