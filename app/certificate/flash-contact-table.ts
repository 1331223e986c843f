/** The flash contact on paper: each mark overleaf, at X and at M, and what it comes to on page 1. */

import { markText } from '../judge/findings/wording.ts';
import type { FlashSyncResult, SyncVerdict } from '../judge/flash-sync.ts';
import { FLASH_CAUTIONS, flashDurationSentence } from '../judge/flash-sync-sentences.ts';
import { signed } from '../judge/verdict-words.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import type { CertificateTable, CertifiedFiring } from './certificate.ts';
import { flashMarks } from './flash-marks.ts';
import type { StageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';

type Setting = FlashSyncResult['setting'];

interface SettingResult {
  readonly setting: Setting;
  readonly stage: StageId;
  /** Some of it was read without a word on where the lever stood. */
  readonly leverNotStated: boolean;
  readonly marks: readonly { readonly label: string; readonly result: FlashSyncResult }[];
}

/** Of the last stage at which it could be told, and only where it could. */
export function settingResults(job: Job, results: readonly StageResult[]): readonly SettingResult[] {
  const all = results.flatMap(({ firings }) => firings);
  return (['X', 'M'] as const).flatMap((setting) => {
    const ofStages = results.map(({ stage }) => settingResult(job, all, stage, setting));
    const told = ofStages.findLast(({ marks }) =>
      marks.some(({ result }) => result.verdict !== 'cannot be told'),
    );
    return told === undefined ? [] : [told];
  });
}

function settingResult(
  job: Job,
  all: readonly CertifiedFiring[],
  stage: StageId,
  setting: Setting,
): SettingResult {
  const { marks, notStated } = flashMarks(job, all, stage, setting);
  const firings = marks.flatMap((mark) => mark.firings.map(({ firing }) => firing));
  // Nobody who has said nothing of a flash wants to hear that it never closed: the lead may just lie on the bench.
  const asked = firings.some(({ figures, sync }) => figures.contact !== null || sync !== 'not stated');
  return {
    setting,
    stage,
    leverNotStated: notStated > 0,
    marks: asked ? marks.map(({ speed: { label }, result }) => ({ label, result })) : [],
  };
}

export const contactTested = (job: Job, results: readonly StageResult[]): boolean =>
  settingResults(job, results).length > 0;

/** For the customer: 'Flash contact at X: in time at 1/30 and slower …'. */
export const contactSummary = (job: Job, results: readonly StageResult[]): readonly string[] =>
  settingResults(job, results).map(({ setting, marks }) => {
    const flash = setting === 'X' ? `, for a flash of ${timeText(job.flashDuration)}` : '';
    return `Flash contact at ${setting}${flash}: ${verdictGroups(marks)}.`;
  });

const VERDICTS: readonly SyncVerdict[] = [
  'in time',
  'too early',
  'too late',
  'not every time',
  'never closed',
  'cannot be told',
];

function verdictGroups(marks: SettingResult['marks']): string {
  const groups = VERDICTS.flatMap((verdict) => {
    const labels = marks.flatMap(({ label, result }) =>
      result.verdict === verdict ? [markText(label)] : [],
    );
    if (labels.length === 0) return [];
    const all = labels.length === marks.length && labels.length > 1;
    return [`${verdict} at ${all ? allMarks(labels.length) : labels.join(', ')}`];
  });
  return groups.join('; ');
}

const allMarks = (n: number) => (n === 2 ? 'both marks fired' : `all ${n} marks fired`);

/** A table for each setting of the lever that could be told. */
export const contactTables = (job: Job, results: readonly StageResult[]): readonly CertificateTable[] =>
  settingResults(job, results).map((one) => contactTable(job, one));

function contactTable(job: Job, { setting, stage, leverNotStated, marks }: SettingResult): CertificateTable {
  const right = (head: string) => ({ head, align: 'right' }) as const;
  return {
    heading: `Flash contact at ${setting}, ${stage}`,
    columns: [
      { head: 'Marked', align: 'left' },
      right('Firings'),
      right('Closed'),
      right('Open at closure'),
      ...(setting === 'X'
        ? [right('Margin, ms'), right('SD, ms'), right('Least, ms')]
        : [right('Lead, ms'), right('SD, ms'), right('Farthest, ms')]),
      right('Bounces'),
      right('Closed for'),
      { head: 'Verdict', align: 'left' },
    ],
    rows: marks.map(({ label, result }) => contactRow(label, result)),
    notes: [
      setting === 'X' ? X_KEY : M_KEY,
      ...(setting === 'X' ? [flashDurationSentence(job.flashDuration)] : []),
      ...(leverNotStated
        ? ['Where the lever for flash stood is not stated of all firings: X is assumed.']
        : []),
      `Bounces: breaks before it stayed closed, the most of one firing. ${FLASH_CAUTIONS[2]}`,
    ],
  };
}

const X_KEY =
  'Margin: from the end of the flash to when the blades have closed to 90 %; negative is too late. Too early: before the blades are 80 % open (our own limit).';
const M_KEY =
  "Lead: from closure to the blades 80 % open. A camera maker's guide asks for 13 to 19 ms, for bulbs of class M.";

/** To a hundredth where that is meant, and whole from 100 ms on. */
function milliseconds(time: number | null | undefined): string {
  if (time === null || time === undefined) return DASH;
  const size = Math.abs(1000 * time);
  return signed(1000 * time, size < 9.995 ? 2 : size < 99.95 ? 1 : 0);
}

function contactRow(label: string, result: FlashSyncResult): readonly string[] {
  const { setting, n, closed, openAtClosure, margin, lead, bounces, moreBounces, closedTime, verdict } =
    result;
  const spread = setting === 'X' ? margin : lead;
  return [
    label,
    String(n),
    String(closed),
    openAtClosure === null ? DASH : `${(100 * openAtClosure).toFixed(0)} %`,
    milliseconds(spread?.mean),
    milliseconds(spread?.sd).replace('+', ''),
    milliseconds(spread?.worst),
    closed === 0 ? DASH : `${moreBounces ? '≥ ' : ''}${bounces}`,
    closedTime === null ? DASH : timeText(closedTime),
    verdict,
  ];
}
