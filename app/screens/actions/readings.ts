/**
 * Firings of the open job: measured as they come, shown, and written. Rows and samples are held here,
 * outside the view. What the user does to a firing afterwards is in firing-steps.ts.
 */
import type { CertifiedFiring } from '../../certificate/certificate.ts';
import { judgedTime } from '../../judge/counted-readings.ts';
import { farFromMark } from '../../judge/far-from-mark.ts';
import { farFromMarkQuestion } from '../../judge/verdict-words.ts';
import {
  type ClockCorrection,
  type Figures,
  type Firing,
  MEASURING_VERSION,
  type ReferenceEnd,
  type ReferenceLevel,
} from '../../measure/figures.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { nextReference, validReference } from '../../measure/reference-level.ts';
import { type FiringRow, joinFiring, splitFiring } from '../../record/firing-row.ts';
import type { BoardIdentity, FiringRecord, Job, StageId } from '../../record/job.ts';
import { type Reading, view } from '../view.ts';
import { announceReading } from './announce.ts';
import { speedOf } from './marks.ts';
import { say } from './notices.ts';
import { record } from './record.ts';

/** Rows of the open job by id, as they are kept. */
const rows = new Map<string, FiringRow>();
/** Whole records that could not be written: they stay in memory until they can. */
const unwritten = new Map<string, FiringRecord>();
/** The latest firings with their samples, so that looking back a little reads nothing from disk. */
const curves = new Map<string, Firing>();
const CURVES_AT_HAND = 40;
/** Firings whose mark the user has confirmed: they are not asked about again. */
const confirmed = new Set<string>();
const confirmation = (id: string, mark: string) => `${id} ${mark}`;

/** What was so when the light came: the user may turn the dial, or open another job, before it is over. */
interface Circumstances {
  readonly id: string;
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly ordinal: number;
  readonly at: string;
  readonly rest: number | null;
  /** The open level known then, and the number of the set-up it belongs to. */
  readonly reference: ReferenceLevel | null;
  readonly setUp: number;
  /** What was known of the board's clock then. */
  readonly clock: ClockCorrection | null;
}

let present: Circumstances | null = null;
/** Raised whenever light, job or state of assembly may have changed. */
let setUp = 0;

/** Takes up the rows of a job that has just been opened, and those of it that still wait to be written. */
export function adoptReadings(job: Job, kept: readonly FiringRow[]): readonly Reading[] {
  rows.clear();
  for (const row of kept) rows.set(row.id, row);
  for (const whole of unwritten.values())
    if (whole.jobId === job.id) rows.set(whole.id, splitFiring(whole).row);
  return [...rows.values()].sort((a, b) => a.ordinal - b.ordinal).map((row) => readingOf(row, job));
}

/** False for what is only shown: played back, or a practice firing in a real job. Its number goes to the next firing. */
export const belongsToJob = ({ kept }: Reading): boolean => kept !== 'not filed';

/** A kept row as the screens show it. */
const readingOf = (row: FiringRow, job: Job): Reading => ({
  id: row.id,
  stage: row.stage,
  mark: row.mark,
  ordinal: row.ordinal,
  at: row.at,
  figures: row.figures,
  spoilt: row.firing.spoilt,
  setAside: row.setAside,
  rest: row.rest,
  exercised: row.exercised,
  clockPpm: row.clockCorrection?.ppm ?? 0,
  kept: unwritten.has(row.id) ? 'not recorded' : 'recorded',
  question: row.setAside === null ? questionOf(row.id, row.mark, row.figures, row.firing.spoilt, job) : null,
});

export const rowOf = (id: string | null): FiringRow | undefined => (id === null ? undefined : rows.get(id));

/** The open level of a set-up that no longer stands must not be used again. */
export function dropReference(why: ReferenceEnd): void {
  setUp++;
  holdReference({ reference: null, ended: why });
}

/** Takes up the open level as it stands after a firing or a light check. */
export function holdReference(next: {
  readonly reference: ReferenceLevel | null;
  readonly ended: ReferenceEnd | null;
}): void {
  view.setState(({ reference: { held, since, ended } }) => {
    if (next.reference !== null) {
      const same = held?.firstTick === next.reference.firstTick;
      return { reference: { held: next.reference, since: same ? since : Date.now(), ended: null } };
    }
    // Nothing was held: what is said of the last one stays true.
    return { reference: { held: null, since: null, ended: held === null ? ended : (next.ended ?? ended) } };
  });
}

/** Another connection: what was half seen on the old one is no firing of the new one. */
export function forgetPresent(): void {
  present = null;
}

/** First light: notes which job, stage and mark the firing will belong to. */
export function lightCame(): void {
  const { job, stage, mark, reference, clock } = view.getState();
  present = null;
  if (!job || mark === null) return;
  const before = [...rows.values()].reduce<FiringRow | null>(
    (last, row) => (last && last.ordinal > row.ordinal ? last : row),
    null,
  );
  const now = new Date();
  present = {
    id: crypto.randomUUID(),
    job,
    stage,
    mark,
    ordinal: (before?.ordinal ?? 0) + 1,
    at: now.toISOString(),
    rest: before ? Math.max(0, (now.getTime() - Date.parse(before.at)) / 1000) : null,
    reference: reference.held,
    setUp,
    clock,
  };
}

/** The reference in force for a firing: of its own set-up, and neither too old nor of another session. */
const referenceFor = (circumstances: Circumstances, firing: Firing): ReferenceLevel | null =>
  validReference(
    circumstances.setUp === setUp ? view.getState().reference.held : circumstances.reference,
    firing,
  );

/** Shows a reading before the rebound window has ended; the final one replaces it. */
export function showProvisional(firing: Firing): void {
  if (!present) lightCame();
  if (!present) return;
  const figures = measureFiring(firing, { reference: referenceFor(present, firing), clock: present.clock });
  hold(present.id, firing);
  place({ ...shown(present, firing), figures, kept: 'provisional', question: null }, present.job.id);
}

/**
 * A firing is complete: it is measured, shown, and written. `board` null: played back, so not filed. Nor is
 * a practice firing filed in a job that is not invented.
 */
export async function fileFiring(firing: Firing, board: BoardIdentity | null): Promise<void> {
  // A board that times edges tells of an opening only when it is over.
  if (!present || firing.timed) lightCame();
  const circumstances = present;
  present = null;
  if (!circumstances) {
    say('Light was seen, but no job is open: nothing was recorded. Make or open a job first.', 'trouble');
    return;
  }
  const { id, job, stage, mark, ordinal, at, rest, clock } = circumstances;
  const reference = referenceFor(circumstances, firing);
  const figures = measureFiring(firing, { reference, clock });
  if (circumstances.setUp === setUp)
    holdReference(nextReference(view.getState().reference.held, firing, figures));
  hold(id, firing);
  const filed = board !== null && (!board.practice || job.invented);
  if (board?.practice && !job.invented)
    say('A practice firing is not filed in a real job. Open or make an invented one to keep it.', 'trouble');
  const complete: Reading = {
    ...shown(circumstances, firing),
    figures,
    kept: filed ? 'writing' : 'not filed',
    question: filed ? questionOf(id, mark, figures, firing.spoilt, job) : null,
  };
  place(complete, job.id);
  // Said in words of the job on show: that is another one if it was opened since the light came.
  const onShow = view.getState().job?.id === job.id;
  if (onShow) announceReading(complete);
  if (!filed) return;
  if (!onShow) say(`The firing under way was filed in job ${job.number}, ${mark}.`);
  await write({
    id,
    jobId: job.id,
    stage,
    mark,
    ordinal,
    at,
    rest,
    board,
    firing,
    figures,
    assembly: job.stages[stage].assembly,
    setUp: job.stages[stage].setUp,
    sync: job.stages[stage].sync,
    reference,
    clockCorrection: clock,
    exercised: false,
    measuringVersion: MEASURING_VERSION,
    setAside: null,
    movedFrom: [],
  });
}

function questionOf(
  id: string,
  mark: string,
  figures: Figures,
  spoilt: Firing['spoilt'],
  job: Job,
): Reading['question'] {
  const time = spoilt === null ? judgedTime(figures) : null;
  const speed = speedOf(job, mark);
  if (time === null || !speed || confirmed.has(confirmation(id, mark))) return null;
  const far = farFromMark(time, speed, job.series, job.referenceRule);
  return far && { words: farFromMarkQuestion(mark, far), nearest: far.nearest?.label ?? null };
}

/** The user says that the dial did stand there. */
export function keepAtMark({ id, mark }: Reading): void {
  confirmed.add(confirmation(id, mark));
  change(id, { question: null });
}

async function write(whole: FiringRecord): Promise<void> {
  keep(splitFiring(whole).row);
  try {
    keep(await (await record()).addFiring(whole));
    unwritten.delete(whole.id);
    change(whole.id, { kept: 'recorded' });
    if (unwritten.size === 0) view.setState({ recordTrouble: null });
  } catch (error) {
    unwritten.set(whole.id, whole);
    change(whole.id, { kept: 'not recorded' });
    view.setState({ recordTrouble: (error as Error).message });
    say((error as Error).message, 'trouble');
  }
}

/** Rows are held for the open job only. */
function keep(row: FiringRow): void {
  if (view.getState().job?.id === row.jobId) rows.set(row.id, row);
}

/** Tries once more to write whatever could not be written, oldest first. */
export async function retryWriting(): Promise<void> {
  if (retrying) return;
  retrying = true;
  for (const whole of [...unwritten.values()]) {
    change(whole.id, { kept: 'writing' });
    await write(whole);
  }
  retrying = false;
}

let retrying = false;

export const isUnwritten = (id: string): boolean => unwritten.has(id);

/** How many firings, of whatever job or of this one, live in this page alone. */
export const unwrittenCount = (jobId?: string): number =>
  [...unwritten.values()].filter((whole) => jobId === undefined || whole.jobId === jobId).length;

/** The firing behind a reading with its samples, from memory or from the record; null if it can't be had. */
export async function curveOf(id: string): Promise<Firing | null> {
  const atHand = curves.get(id) ?? unwritten.get(id)?.firing;
  const row = rows.get(id);
  if (atHand || !row) return atHand ?? null;
  try {
    const firing = joinFiring(row, await (await record()).loadSamples(id)).firing;
    hold(id, firing);
    return firing;
  } catch (error) {
    say((error as Error).message, 'trouble');
    return null;
  }
}

/** The readings as the certificate counts them: those of the record, and those that wait to be written. */
export function certifiedFirings(readings: readonly Reading[], job: Job): readonly CertifiedFiring[] {
  return readings.flatMap(({ id }) => {
    const row = rows.get(id);
    return row && row.jobId === job.id ? [row] : [];
  });
}

/** A row has been changed in the record. */
export function adopt(row: FiringRow): void {
  keep(row);
  const { job } = view.getState();
  if (job?.id !== row.jobId) return;
  const { mark, setAside, exercised, question } = readingOf(row, job);
  change(row.id, { mark, setAside, exercised, question });
}

const shown = ({ id, stage, mark, ordinal, at, rest, clock }: Circumstances, firing: Firing) => ({
  id,
  stage,
  mark,
  ordinal,
  at,
  rest,
  exercised: false,
  clockPpm: clock?.ppm ?? 0,
  spoilt: firing.spoilt,
  setAside: null,
});

/** Puts a reading in its place in the view, new or instead of its provisional self, and shows it. */
function place(reading: Reading, jobId: string): void {
  view.setState((v) => {
    // The user may have opened another job since the light came: the firing is filed, but not shown there.
    if (v.job?.id !== jobId) return v;
    const there = v.readings.some((r) => r.id === reading.id);
    const readings = there
      ? v.readings.map((r) => (r.id === reading.id ? reading : r))
      : [...v.readings, reading];
    return { readings, shown: reading.id };
  });
}

function change(id: string, part: Partial<Reading>): void {
  view.setState((v) => ({ readings: v.readings.map((r) => (r.id === id ? { ...r, ...part } : r)) }));
}

function hold(id: string, firing: Firing): void {
  curves.delete(id);
  curves.set(id, firing);
  for (const old of curves.keys()) {
    if (curves.size <= CURVES_AT_HAND) break;
    curves.delete(old);
  }
}
