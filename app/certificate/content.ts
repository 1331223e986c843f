import { missingWords } from '../judge/budget-words.ts';
import { whyNotCounted } from '../judge/counted-readings.ts';
import { markText } from '../judge/findings/wording.ts';
import { jobVerdict } from '../judge/job-verdict.ts';
import type { SpreadVerdict } from '../judge/verdict.ts';
import { signed, spreadInStops } from '../judge/verdict-words.ts';
import type { CertificateContent, CertificateInput, Field, FieldGroup, Section } from './certificate.ts';
import { checksSection } from './checks-section.ts';
import { assemblyComparison, instrumentComparison, setUpComparison } from './comparisons.ts';
import { dateOf, datesOf } from './dates.ts';
import {
  capitalised,
  movedSentences,
  notCountedSentences,
  remarkSentences,
  suspectSentences,
} from './firing-notes.ts';
import { overleafTables } from './overleaf-tables.ts';
import { settled } from './plain-text.ts';
import { countedFirings, type MarkResult, type StageResult, stageResult } from './stage-results.ts';
import {
  decisionRuleSection,
  findingsSection,
  leftOutSection,
  limitsSection,
  methodSection,
  notTestedSection,
  remarksSection,
} from './statements.ts';
import { DASH } from './stops-text.ts';
import { chartContent, tableRows } from './table-rows.ts';

const PRACTICE_NOTICE = 'Practice bench: these readings are of a simulated shutter.';
const PART_PRACTICE_NOTICE =
  'Practice bench: some of these readings are of a simulated shutter (see Instrument).';
const INVENTED_NOTICE = 'Demonstration: customer, camera and job are invented.';

/**
 * Every string and number of a certificate, frozen. The same input gives the same content: nothing is read
 * from a clock. Texts come out in Unicode's composed form (NFC), control characters as spaces.
 *
 * @throws RangeError if `issued` is no date, the certificate number is empty or the time zone unknown.
 */
export function certificateContent(input: CertificateInput): CertificateContent {
  const { workshop, job, issued, paper, timeZone } = input;
  const number = input.certificateNumber.trim();
  if (number === '') throw new RangeError('A certificate needs a number.');
  if (Number.isNaN(Date.parse(issued))) throw new RangeError(`“${issued}” is no date of issue.`);

  const firings = input.firings.filter((firing) => firing.jobId === job.id);
  const found = stageResult(job, firings, 'as found');
  const left = stageResult(job, firings, 'as left');
  const stages = [found, left];
  const practice = firings.filter((firing) => firing.board.practice).length;
  const notices = [
    ...(practice === 0 ? [] : [practice === firings.length ? PRACTICE_NOTICE : PART_PRACTICE_NOTICE]),
    ...(job.invented ? [INVENTED_NOTICE] : []),
    ...unreadableNotice(input.unreadable ?? 0),
  ];

  return settled({
    language: 'en',
    paper,
    issued,
    title: 'Certificate of shutter speeds',
    subtitle:
      'Exposure times at the marked speeds, as found and as left. Not an accredited calibration certificate.',
    number,
    numberLine: `Certificate no. ${number}`,
    workshop: { name: workshop.name.trim() || 'Workshop not named', lines: textLines(workshop.address) },
    notices,
    pageNotice: [practice > 0 ? 'Practice bench: simulated shutter' : '', job.invented ? 'Invented data' : '']
      .filter((words) => words !== '')
      .join(' · '),
    particulars: particulars(input, found, left),
    result: resultSection(stages),
    rows: tableRows(found, left, job),
    key: [
      'Error: mean of the firings against the reference time, in EV; 1 EV is one stop. + is slow, longer than marked: more exposure. − is fast. U: its expanded uncertainty for a coverage of about 95 %; coverage factor and budget stand overleaf.',
      ...notInUncertainty(stages),
      `SD: how much single firings scatter about their mean, in EV${job.spreadLimit === null ? '' : ', and whether the mark repeats'}. n: firings counted. P: probability that the true mean error lies within the band (JCGM 106:2012).`,
    ],
    chart: chartContent(found, left),
    tables: overleafTables(job, found, left),
    comparisons: [
      assemblyComparison(job, found, left),
      setUpComparison(job, found, left),
      instrumentComparison(found, left),
    ],
    sections: [
      findingsSection(job, stages.toReversed()),
      checksSection(
        job,
        stages.filter(({ taken }) => taken),
        timeZone,
      ),
      methodSection(stages),
      decisionRuleSection(job, stages.toReversed()),
      leftOutSection(
        firings.length,
        firings.filter((firing) => whyNotCounted(firing) !== null).length,
        stages.flatMap((stage) => [...notCountedSentences(stage), ...movedSentences(stage)]),
      ),
      remarksSection(stages.flatMap((stage) => [...remarkSentences(stage), ...suspectSentences(stage)])),
      notTestedSection(found, left),
      limitsSection(practice > 0, job.invented),
    ],
    replacementNote: 'An open square (□) stands for a character that could not be printed.',
    signature: {
      name: workshop.signatory.trim() || workshop.name.trim(),
      date: dateOf(issued, timeZone),
      line: 'Signature',
    },
    endMark: `End of certificate no. ${number}`,
  });
}

/** Beside U on the first page, so that neither U nor P is taken for more than it is; the marks stand overleaf. */
function notInUncertainty(stages: readonly StageResult[]): readonly string[] {
  const missing = new Set(
    stages.flatMap(({ marks }) => marks.flatMap(({ budget }) => budget?.notStated ?? [])),
  );
  return missing.size === 0
    ? []
    : [`Not stated for all readings, and therefore not fully in U and P: ${missingWords([...missing])}.`];
}

const unreadableNotice = (count: number): readonly string[] =>
  count === 0
    ? []
    : [
        `${count} ${count === 1 ? 'firing' : 'firings'} of this job could not be read and ${count === 1 ? 'is' : 'are'} not in these figures.`,
      ];

function particulars(input: CertificateInput, found: StageResult, left: StageResult): readonly FieldGroup[] {
  const { job, issued, timeZone } = input;
  const { camera, customer } = job;
  return [
    {
      heading: 'Customer',
      fields: [
        field('Name', customer.name),
        field('Contact', customer.contact),
        field('Complaint', job.complaint),
        field('Job', job.number),
      ],
    },
    {
      heading: 'Camera',
      fields: [
        field('Item', camera.description),
        field('Body no.', camera.bodySerial),
        field('Shutter', camera.shutter),
        field('Shutter no.', camera.shutterSerial),
        field('Lens', camera.lens),
        field('Lens no.', camera.lensSerial),
      ],
    },
    {
      heading: 'Dates',
      fields: [
        field('Received', dateOf(job.received, timeZone)),
        field(
          'As found',
          datesOf(
            found.firings.map(({ at }) => at),
            timeZone,
          ),
        ),
        field(
          'As left',
          datesOf(
            left.firings.map(({ at }) => at),
            timeZone,
          ),
        ),
        field('Issued', dateOf(issued, timeZone)),
      ],
    },
  ];
}

function field(label: string, text: string): Field {
  const lines = textLines(text);
  return { label, lines: lines.length === 0 ? [DASH] : lines };
}

const textLines = (text: string): readonly string[] =>
  text
    .split(/\r\n|[\n\r\u2028\u2029]/)
    .map((line) => line.trim())
    .filter((line) => line !== '');

/** For the customer: how many marks are well, and which are not. The later stage comes first. */
function resultSection(stages: readonly StageResult[]): Section {
  const paragraphs: string[] = [];
  for (const result of stages.toReversed()) {
    const { stage, taken, marks } = result;
    if (!taken) {
      paragraphs.push(`${capitalised(stage)}: no readings were taken.`);
      continue;
    }
    const timed = marks.filter((mark) => mark.speed.marked !== null);
    const within = timed.filter((mark) => mark.verdict === 'within').length;
    const groups = jobVerdict(
      timed.map(({ speed, verdict, judgement, statistics, least }) => ({
        label: markText(speed.label),
        verdict,
        statistics,
        least,
        firingsNeeded: judgement.firingsNeeded,
      })),
    );
    const rest = groups.filter(({ verdict }) => verdict !== 'within').map(({ sentence }) => sentence);
    paragraphs.push(
      [
        `${capitalised(stage)}: ${within} of ${timed.length} marked speeds within their band.`,
        ...rest,
        ...repeatSentences(timed),
        ...lightAfterClosingSentence(result),
      ].join(' '),
    );
  }
  return { heading: 'Result', paragraphs, items: [] };
}

/** Whether the shutter repeats, beside whether it is near its marks; nothing without a limit for the spread. */
function repeatSentences(marks: readonly MarkResult[]): readonly string[] {
  const of = (spread: SpreadVerdict) => marks.filter(({ judgement }) => judgement.spread === spread);
  const erratic = of('erratic');
  const told = erratic.length + of('steady').length;
  if (told === 0) return [];
  const list = erratic.map(
    ({ speed, statistics }) =>
      `${markText(speed.label)} (spread ${statistics.sd === null ? DASH : spreadInStops(statistics.sd)})`,
  );
  return [
    `Repeating: ${told - erratic.length} of ${told} are steady.`,
    ...(list.length === 0 ? [] : [`Erratic: ${list.join(', ')}.`]),
  ];
}

/** Light after closing of this much or more is said beside the verdicts: they leave it out, film does not. */
const LIGHT_AFTER_CLOSING = 0.1;

function lightAfterClosingSentence(result: StageResult): readonly string[] {
  const counted = countedFirings(result);
  const list = result.marks.flatMap(({ speed: { label } }) => {
    const added = counted.flatMap(({ mark, figures: { effective, effectiveWithRebound } }) =>
      mark === label && effective !== null && effectiveWithRebound !== null
        ? [Math.log2(effectiveWithRebound / effective)]
        : [],
    );
    const mean = added.reduce((sum, one) => sum + one, 0) / added.length;
    return mean >= LIGHT_AFTER_CLOSING ? [`${markText(label)} (${signed(mean, 2)} EV)`] : [];
  });
  if (list.length === 0) return [];
  return [
    `Light after closing adds to the exposure at ${list.join(', ')}: it is left out of times and verdicts.`,
  ];
}
