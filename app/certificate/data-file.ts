/**
 * The data file behind a certificate: its readings as numbers, for whoever wants to check or use them without
 * this program. It travels attached to the PDF, and the paper prints its SHA-256. The fields are described in
 * data-file.md.
 *
 * It holds neither customer, complaint, notes, pictures nor what was done to the camera: a certificate goes
 * with the camera to its next owner.
 */
import { judgedTime, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import { meterResult } from '../judge/exposure-meter.ts';
import { selfTimerResult } from '../judge/self-timer.ts';
import type { Budget } from '../judge/verdict.ts';
import { type Job, STAGES, type StageId } from '../record/job.ts';
import { RECORD_SOURCE } from '../record/schema.ts';
import type { CertificateInput, CertifiedFiring } from './certificate.ts';
import { canonicalJson } from './data-file-json.ts';
import { settingResults } from './flash-contact-table.ts';
import { type MarkResult, type StageResult, stageResult } from './stage-results.ts';

export const DATA_FORMAT = 'leafclock readings';
/** Raises with every change of a field's name or meaning. */
export const DATA_VERSION = 1;

export type DataInput = Pick<
  CertificateInput,
  'workshop' | 'job' | 'firings' | 'issued' | 'certificateNumber' | 'unreadable'
>;

/**
 * The file, as canonical JSON in UTF-8. The same input gives the same bytes, in whatever order the firings come.
 *
 * @throws RangeError for a figure that is no finite number: such a record would not have been stored.
 */
export function readingsData(input: DataInput): Uint8Array<ArrayBuffer> {
  const { job } = input;
  const firings = input.firings
    .filter((firing) => firing.jobId === job.id)
    .toSorted((a, b) => a.ordinal - b.ordinal || (a.id < b.id ? -1 : 1));
  const results = STAGES.map((stage) => stageResult(job, firings, stage));
  const content = {
    format: DATA_FORMAT,
    version: DATA_VERSION,
    source: RECORD_SOURCE,
    certificate: input.certificateNumber.trim(),
    issued: input.issued,
    workshop: input.workshop.name,
    job: { number: job.number, received: job.received },
    invented: job.invented,
    camera: job.camera,
    rule: ruleOf(job),
    stages: results.filter(({ taken }) => taken).map((result) => stageOf(job, result)),
    firings: firings.map((firing) => firingOf(job, firing)),
    unreadable: input.unreadable ?? 0,
    checks: job.checks,
    flashDuration: job.flashDuration,
    contact: settingResults(job, results),
    selfTimer: {
      runs: job.selfTimer.map(({ id: _, ...run }) => run),
      result: selfTimerResult(job.selfTimer),
    },
    meter: meterOf(job),
    mechanics: job.mechanics.map(({ name, state, note }) => ({ name, state, note })),
  };
  // A copy of exactly its length: a writer of PDFs that takes the buffer under it gets nothing else.
  return new TextEncoder().encode(canonicalJson(content)).slice();
}

/** 'readings-0042-20310306-120000.json': beside the PDF, and as the attachment's name in it. */
export const dataFileName = (certificateNumber: string): string =>
  `readings-${certificateNumber.trim().replace(/[^\p{L}\p{N}.-]+/gu, '-')}.json`;

export const isDataFileName = (name: string): boolean => /^readings-.*\.json$/su.test(name);

/** 64 lower-case hexadecimal digits. */
export async function sha256Hex(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/**
 * What the paper says of its data file, on the page and as the Keywords of the PDF's information dictionary,
 * from where checkPaper reads it.
 */
export const hashStatement = (sha256: string): string => `SHA-256 of the readings: ${sha256}`;

/** The sum that a hashStatement states, or null. */
export const statedHash = (text: string): string | null =>
  /SHA-256 of the readings: ([0-9a-f]{64})(?![0-9a-f])/.exec(text)?.[1] ?? null;

/** What the readings are held against. */
const ruleOf = (job: Job) => ({
  series: job.series,
  referenceRule: job.referenceRule,
  band: job.band,
  bands: job.bands,
  bandUnit: job.bandUnit,
  decisionRule: job.decisionRule,
  spreadLimit: job.spreadLimit,
  leastFirings: job.leastFirings,
  profile: job.profile,
});

function stageOf(job: Job, { stage, marks }: StageResult) {
  const { assembly, setUp, outcomes, sync } = job.stages[stage];
  return { stage, assembly, setUp, outcomes, sync, results: marks.map((mark) => markOf(job, stage, mark)) };
}

function markOf(job: Job, stage: StageId, { speed, reference, statistics, budget, judgement }: MarkResult) {
  const { n, meanTime, meanError, median, fastest, slowest, sd, meanInterval } = statistics;
  return {
    mark: speed.label,
    reference,
    band: job.bands[speed.label] ?? job.band,
    leastFirings: job.leastFirings[stage],
    n,
    meanTime,
    meanError,
    meanInterval,
    sd,
    median,
    fastest,
    slowest,
    ...uncertaintyOf(budget),
    verdict: judgement.verdict,
    spread: judgement.spread,
    conformity: judgement.conformity,
  };
}

/** Degrees of freedom without end, which JSON has no number for, are null. */
const uncertaintyOf = (budget: Budget | null) => ({
  standardUncertainty: budget?.combined ?? null,
  coverageFactor: budget?.k ?? null,
  expandedUncertainty: budget?.expanded ?? null,
  degreesOfFreedom: budget === null || !Number.isFinite(budget.dof) ? null : budget.dof,
  notStated: budget?.notStated ?? [],
});

/** Field by field: a firing that comes with more than a certificate needs gives away no more of it. */
function firingOf(job: Job, firing: CertifiedFiring) {
  const speed = job.series.speeds.find(({ label }) => label === firing.mark);
  const reference = speed === undefined ? null : referenceTime(speed, job.referenceRule);
  const time = judgedTime(firing.figures);
  const reason = whyNotCounted(firing);
  return {
    ordinal: firing.ordinal,
    stage: firing.stage,
    mark: firing.mark,
    movedFrom: firing.movedFrom,
    at: firing.at,
    rest: firing.rest,
    exercised: firing.exercised,
    counted: reason === null,
    notCounted: reason,
    setAside: firing.setAside,
    spoilt: firing.firing.spoilt,
    time,
    error: time === null || reference === null ? null : errorInStops(time, reference),
    figures: firing.figures,
    measuringVersion: firing.measuringVersion,
    tickHz: firing.firing.tickHz,
    firstTick: firing.firing.firstTick,
    ticksPerSample: firing.firing.ticksPerSample,
    clockCorrection: firing.clockCorrection,
    referenceLevel: firing.reference,
    board: firing.board,
    assembly: firing.assembly,
    setUp: firing.setUp,
    sync: firing.sync,
  };
}

function meterOf({ meter }: Job) {
  if (meter === null) return null;
  const { points, ...result } = meterResult(meter);
  return {
    ...meter,
    points: meter.points.map(({ id: _, ...point }, index) => {
      const { expected, read, error } = points[index]!;
      return { ...point, expected, read, error };
    }),
    result,
  };
}
