/**
 * The results of a job for a spreadsheet: one table of marks, one of firings. Times in seconds, errors in EV.
 * UTF-8 with a byte order mark, without which some spreadsheets take it for another encoding.
 */
import { judgedTime, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import { type Job, STAGES } from '../record/job.ts';
import type { CertifiedFiring } from './certificate.ts';
import { type CsvCell, type CsvDecimal, type CsvSeparator, csvText } from './results-csv-cells.ts';
import { type MarkResult, stageResult } from './stage-results.ts';

const BYTE_ORDER_MARK = '\uFEFF';

const CAMERA_COLUMNS = ['Job', 'Camera', 'Body no.', 'Shutter', 'Shutter no.', 'Lens', 'Lens no.'] as const;

const RESULT_COLUMNS = [
  ...CAMERA_COLUMNS,
  'Stage',
  'Mark',
  'Reference (s)',
  'Lower limit (EV)',
  'Upper limit (EV)',
  'Firings',
  'Counted',
  'Mean (s)',
  'Mean error (EV)',
  'U (EV)',
  'k',
  'Standard deviation (EV)',
  'Fastest (s)',
  'Slowest (s)',
  'Verdict',
  'Repeats',
  'Probability within',
] as const;

/**
 * One line for each mark at each stage at which anything was recorded, in the order of stages and series. With
 * ';' as separator the decimals are set off by a comma, as spreadsheets of such countries expect.
 */
export function resultsCsv(
  job: Job,
  firings: readonly CertifiedFiring[],
  separator: CsvSeparator,
  decimal: CsvDecimal = separator === ';' ? ',' : '.',
): string {
  const own = firings.filter(({ jobId }) => jobId === job.id);
  const lines = STAGES.map((stage) => stageResult(job, own, stage))
    .filter(({ taken }) => taken)
    .flatMap((result) =>
      result.marks.map((mark): readonly CsvCell[] => {
        const fired = result.firings.filter((firing) => firing.mark === mark.speed.label).length;
        return [...cameraCells(job), result.stage, ...resultCells(mark, fired)];
      }),
    );
  return BYTE_ORDER_MARK + csvText([RESULT_COLUMNS, ...lines], separator, decimal);
}

function resultCells(result: MarkResult, fired: number): readonly CsvCell[] {
  const { speed, reference, band, statistics, budget, judgement } = result;
  const { n, meanTime, meanError, sd, fastest, slowest } = statistics;
  return [
    markCell(speed.label),
    reference,
    reference === null ? null : band.lower,
    reference === null ? null : band.upper,
    fired,
    n,
    meanTime,
    meanError,
    budget?.expanded ?? null,
    budget?.k ?? null,
    sd,
    fastest,
    slowest,
    judgement.verdict,
    judgement.spread,
    judgement.conformity,
  ];
}

const FIRING_COLUMNS = [
  ...CAMERA_COLUMNS,
  'Firing',
  'Stage',
  'Mark',
  'Fired at',
  'Rest before (s)',
  'Reference (s)',
  'Time (s)',
  'Error (EV)',
  'Counted',
  'Why not counted',
  'Set aside because',
  'Half-height time (s)',
  'Total open time (s)',
  'Efficiency',
  'Opening 10–90 % (s)',
  'Closing 10–90 % (s)',
  'Fully open (s)',
  'Contact after first light (s)',
  'Clock correction (ppm)',
  'Remarks',
  'Board',
  'Board no.',
] as const;

/** One line for each firing of the job, in the order of firing, those that do not count too. */
export function firingsCsv(
  job: Job,
  firings: readonly CertifiedFiring[],
  separator: CsvSeparator,
  decimal: CsvDecimal = separator === ';' ? ',' : '.',
): string {
  const lines = firings
    .filter(({ jobId }) => jobId === job.id)
    .toSorted((a, b) => a.ordinal - b.ordinal)
    .map((firing): readonly CsvCell[] => [...cameraCells(job), ...firingCells(job, firing)]);
  return BYTE_ORDER_MARK + csvText([FIRING_COLUMNS, ...lines], separator, decimal);
}

function firingCells(job: Job, firing: CertifiedFiring): readonly CsvCell[] {
  const { figures, board } = firing;
  const speed = job.series.speeds.find(({ label }) => label === firing.mark);
  const reference = speed === undefined ? null : referenceTime(speed, job.referenceRule);
  const time = judgedTime(figures);
  const reason = whyNotCounted(firing);
  const contact = figures.contact?.closed ?? null;
  const firstLight = figures.instants?.firstLight ?? null;
  return [
    firing.ordinal,
    firing.stage,
    markCell(firing.mark),
    firing.at,
    firing.rest,
    reference,
    time,
    time === null || reference === null ? null : errorInStops(time, reference),
    reason === null ? 'yes' : 'no',
    reason,
    firing.setAside,
    figures.halfHeight,
    figures.total,
    figures.efficiency,
    figures.opening,
    figures.closing,
    figures.fullyOpen,
    contact === null || firstLight === null ? null : contact - firstLight,
    firing.clockCorrection?.ppm ?? null,
    figures.remarks.map(({ code }) => code).join(', '),
    board.practice ? `${board.board} (practice bench)` : board.board,
    board.serial,
  ];
}

const cameraCells = ({ number, camera }: Job): readonly CsvCell[] => [
  number,
  camera.description,
  camera.bodySerial,
  camera.shutter,
  camera.shutterSerial,
  camera.lens,
  camera.lensSerial,
];

/** '1/60 s': a spreadsheet would make a date of '1/60' alone. */
const markCell = (label: string): string => (/^\d+([/.]\d+)?$/.test(label) ? `${label} s` : label);
