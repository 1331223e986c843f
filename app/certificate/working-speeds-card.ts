/**
 * The working speeds card: a small card for the camera case with what each mark really gives and what to set. All of
 * it strings, before anything is drawn, as the certificate's content is. It names the camera and no customer.
 */
import { markText } from '../judge/findings/wording.ts';
import { type StoppedDownCorrection, stoppedDownCorrections } from '../judge/stopped-down-correction.ts';
import { signedThirds, thirdsSize } from '../judge/thirds.ts';
import { type WhatToSet, type WorkingSpeed, whatToSet, workingSpeeds } from '../judge/working-speeds.ts';
import { shutterFraction } from '../measure/shutter-fraction.ts';
import type { Job } from '../record/job.ts';
import type { CertificateInput, CertificateTable, PaperHead } from './certificate.ts';
import { type Calendar, dateOf, datesOf } from './dates.ts';
import { paperHeadOf } from './paper-head.ts';
import { settled } from './plain-text.ts';
import { countedFirings, type StageResult, stageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';

export interface WorkingSpeedsCardContent extends PaperHead {
  readonly kind: 'working speeds card';
  /** Which camera it belongs to: what it is, and its numbers. */
  readonly camera: readonly string[];
  /** 'As left, 5 March 2031'. */
  readonly read: string;
  /** One row for each timed mark. */
  readonly speeds: CertificateTable;
  /** Of the marks that stopping down changes. */
  readonly stoppedDown: CertificateTable;
  /** Date, job, workshop: at the foot of the back. */
  readonly origin: readonly string[];
  /** Beside the card, for whoever cuts it out. */
  readonly instructions: string;
}

/** One side of the card, in mm: it goes where a bank card goes. */
export const CARD = { width: 86, height: 54 } as const;

/** A name longer than this has no room on the card. */
const LONGEST_LINE = 60;

const TOO_FEW = '†';
const UNCERTAIN = '~';

/**
 * From the readings as left. The same input gives the same content.
 *
 * @throws RangeError if `issued` is no date, the number is empty or the time zone unknown.
 */
export function workingSpeedsCardContent(input: CertificateInput): WorkingSpeedsCardContent {
  const { job, timeZone, dates: style, workshop, issued } = input;
  const calendar: Calendar = { timeZone, style };
  const firings = input.firings.filter((firing) => firing.jobId === job.id);
  const left = stageResult(job, firings, 'as left');
  const head = paperHeadOf(input, {
    title: 'Working speeds',
    numberWords: 'working speeds card no.',
    practice: left.firings.some(({ board }) => board.practice),
  });
  return settled({
    ...head,
    kind: 'working speeds card',
    camera: cameraLines(job),
    read: readWords(left, calendar),
    speeds: speedsTable(job, left, input.unreadable ?? 0),
    stoppedDown: stoppedDownTable(job, left),
    origin: [
      [workshop.name.trim(), head.workshop.lines.at(0) ?? ''].filter((part) => part !== '').join(', '),
      `Job ${job.number}, card of ${dateOf(issued, calendar)}`,
      head.numberLine,
    ]
      .filter((line) => line !== '')
      .map(shortened),
    instructions: `Print at full size (100 %): front and back are ${CARD.width} × ${CARD.height} mm each. Cut along the marks, fold along the broken line.`,
  });
}

/** Why the card would hold no real speed, or null. To be said before it is printed. */
export function workingSpeedsCardTrouble({ speeds }: WorkingSpeedsCardContent): string | null {
  if (speeds.rows.length === 0)
    return 'The series of this job has no mark with a time: the card would be empty.';
  return speeds.rows.every(([, , off]) => off === DASH)
    ? 'There are no usable readings as left: the card would hold no real speed.'
    : null;
}

function cameraLines({ camera }: Job): readonly string[] {
  const numbers = [
    camera.bodySerial.trim() && `Body no. ${camera.bodySerial.trim()}`,
    camera.shutterSerial.trim() && `Shutter no. ${camera.shutterSerial.trim()}`,
  ].filter((part) => part !== '');
  return [camera.description.trim() || camera.shutter.trim() || 'Camera not named', numbers.join(', ')]
    .filter((line) => line !== '')
    .map(shortened);
}

/** Cut with an ellipsis where the card has no room; the certificate has the whole of it. */
function shortened(text: string): string {
  const characters = [...text];
  return characters.length <= LONGEST_LINE ? text : `${characters.slice(0, LONGEST_LINE - 1).join('')}…`;
}

function readWords(left: StageResult, calendar: Calendar): string {
  const at = countedFirings(left).map((firing) => firing.at);
  return at.length === 0 ? 'No readings as left' : `As left, ${datesOf(at, calendar)}`;
}

function speedsTable(job: Job, left: StageResult, unreadable: number): CertificateTable {
  const speeds = workingSpeeds(left.marks);
  const choices = whatToSet(speeds);
  const shown = speeds.filter(({ unusable }) => unusable === null);
  const anyUsable = shown.length > 0;
  const least = job.leastFirings['as left'];
  const flags = [
    ...(shown.some(({ tooFew }) => tooFew)
      ? [`${TOO_FEW} fewer than ${least} ${least === 1 ? 'firing' : 'firings'}.`]
      : []),
    ...(shown.some(({ uncertain }) => uncertain) ? [`${UNCERTAIN} the third is not certain.`] : []),
    ...(unreadable === 0
      ? []
      : [
          `${unreadable} ${unreadable === 1 ? 'firing' : 'firings'} could not be read and ${unreadable === 1 ? 'is' : 'are'} left out.`,
        ]),
  ];
  return {
    heading: 'Working speeds',
    columns: [
      { head: 'Mark', align: 'left' },
      { head: 'Really gives', align: 'right' },
      { head: 'Off, stops', align: 'right' },
      { head: 'To expose as marked, set', align: 'left' },
    ],
    rows: speeds.map((speed, index) => [
      speed.label,
      givesText(speed),
      speed.unusable === null ? signedThirds(speed.thirds!) : DASH,
      anyUsable ? setText(choices[index]!) : DASH,
    ]),
    notes: [
      `Off: + is slow, more exposure. Close, open: the iris, in stops.${job.referenceRule === 'exact' ? ' Marks stand for the exact doubling series.' : ''}`,
      ...(flags.length === 0 ? [] : [flags.join(' ')]),
    ],
  };
}

/** '1/212 s', with the signs that the notes explain; or why the mark is not to be used. */
function givesText({ unusable, time, tooFew, uncertain }: WorkingSpeed): string {
  if (unusable !== null) return unusable;
  return `${uncertain ? `${UNCERTAIN} ` : ''}${shutterFraction(time!)}${tooFew ? ` ${TOO_FEW}` : ''}`;
}

/** '1/250', '1/250, close 1/3', '1/500, open 2/3'. */
function setText({ set, thirds }: WhatToSet): string {
  if (set === null) return 'none comes near';
  if (thirds === 0) return markText(set);
  return `${markText(set)}, ${thirds > 0 ? 'close' : 'open'} ${thirdsSize(thirds)}`;
}

function stoppedDownTable(job: Job, left: StageResult): CertificateTable {
  const corrections = stoppedDownCorrections(
    job.profile,
    left.marks
      .filter(({ reference }) => reference !== null)
      .map(({ speed: { label } }) => ({
        label,
        readings: left.firings.filter(({ mark }) => mark === label),
      })),
  );
  const changed = (corrections ?? []).filter(({ thirds }) => thirds.some((third) => third !== 0));
  const steps = Math.max(0, ...changed.map(({ thirds }) => thirds.length));
  return {
    heading: 'Stopped down',
    columns: [
      { head: 'Mark', align: 'left' },
      ...Array.from({ length: steps }, (_, k) => ({ head: `−${k + 1}`, align: 'right' }) as const),
    ],
    rows: changed.map(({ label, thirds }) => [
      label,
      ...Array.from({ length: steps }, (_, k) => (thirds[k] === undefined ? DASH : signedThirds(thirds[k]))),
    ]),
    notes: [stoppedDownNote(corrections, changed.length > 0, irisWords(left))],
  };
}

function stoppedDownNote(
  corrections: readonly StoppedDownCorrection[] | null,
  some: boolean,
  iris: string,
): string {
  if (corrections === null) {
    return 'Left out: this shutter does not uncover the lens from its centre, so that the iris does not change its times that way.';
  }
  if (corrections.length === 0) return 'Left out: there are no light curves to take it from.';
  if (!some)
    return `Stopped down from the iris as it was read (${iris}), every mark stays within a sixth of a stop.`;
  return `So much more exposure, in stops, 1, 2 … stops below the iris as it was read (${iris}); close it further by as much. Marks not shown stay within a sixth of a stop. An upper estimate.`;
}

/** As stated with the counted firings. */
function irisWords(left: StageResult): string {
  const irises = new Set(countedFirings(left).map(({ assembly }) => assembly.iris.trim() || 'not stated'));
  return shortened([...irises].join('; ') || 'not stated');
}
