/**
 * Firings of the open job: measured as they come, shown, and written. Samples are held here, rows in
 * open-rows.ts, outside the view. What is so at first light is in first-light.ts; what the user does to a firing afterwards is in firing-steps.ts.
 */
import type { CertifiedFiring } from '../../certificate/certificate.ts';
import { judgedTime } from '../../judge/counted-readings.ts';
import { farFromMark } from '../../judge/far-from-mark.ts';
import { farFromMarkQuestion } from '../../judge/verdict-words.ts';
import { type Figures, type Firing, MEASURING_VERSION } from '../../measure/figures.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { nextReference } from '../../measure/reference-level.ts';
import { type FiringRow, joinFiring, splitFiring } from '../../record/firing-row.ts';
import type { BoardIdentity, FiringRecord, Job } from '../../record/job.ts';
import { type Reading, view } from '../view.ts';
import { announceReading } from './announce.ts';
import { type Circumstances, forgetPresent, lightCame, presentFiring } from './first-light.ts';
import { holdReference, referenceFor, setUpNumber } from './held-reference.ts';
import { speedOf } from './marks.ts';
import { say, unsay } from './notices.ts';
import { keepRow, openRows, rowOf } from './open-rows.ts';
import { record } from './record.ts';

/** Whole records that could not be written: they stay in memory until they can. */
const unwritten = new Map<string, FiringRecord>();
/** The latest firings with their samples, so that looking back a little reads nothing from disk. */
const curves = new Map<string, Firing>();
const CURVES_AT_HAND = 40;

/** Taken back as soon as a firing is filed. */
const NOT_FILED =
  'A practice firing is not filed in a real job. To keep practice firings, open the invented job on Jobs.';
/** Firings whose mark the user has confirmed: they are not asked about again. */
const confirmed = new Set<string>();
const confirmation = (id: string, mark: string) => `${id} ${mark}`;

/** Takes up the rows of a job that has just been opened, and those of it that still wait to be written. */
export function adoptReadings(job: Job, kept: readonly FiringRow[]): readonly Reading[] {
  const waiting = [...unwritten.values()].filter((whole) => whole.jobId === job.id);
  return openRows([...kept, ...waiting.map((whole) => splitFiring(whole).row)]).map((row) =>
    readingOf(row, job),
  );
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

/** Shows a reading before the rebound window has ended; the final one replaces it. */
export function showProvisional(firing: Firing): void {
  if (!presentFiring()) lightCame();
  const present = presentFiring();
  if (!present) return;
  const figures = measureFiring(firing, {
    reference: referenceFor(present, firing),
    clock: present.clock,
    bandwidthHz: bandwidthOf(present),
  });
  hold(present.id, firing);
  place({ ...shown(present, firing), figures, kept: 'provisional', question: null }, present.job.id);
}

const bandwidthOf = ({ job, stage }: Circumstances) => job.stages[stage].setUp.bandwidthHz;

/**
 * A firing is complete: it is measured, shown, and written. `board` null: played back, so not filed. Nor is
 * a practice firing filed in a job that is not invented.
 */
export async function fileFiring(firing: Firing, board: BoardIdentity | null): Promise<void> {
  // A board that times edges tells of an opening only when it is over.
  if (!presentFiring() || firing.timed) lightCame();
  const circumstances = presentFiring();
  forgetPresent();
  if (!circumstances) {
    say('Light was seen, but no job is open: nothing was recorded. Make or open a job first.', 'trouble');
    return;
  }
  const { id, job, stage, mark, ordinal, at, rest, clock } = circumstances;
  const reference = referenceFor(circumstances, firing);
  const figures = measureFiring(firing, { reference, clock, bandwidthHz: bandwidthOf(circumstances) });
  if (circumstances.setUp === setUpNumber())
    holdReference(nextReference(view.getState().reference.held, firing, figures));
  hold(id, firing);
  const filed = board !== null && (!board.practice || job.invented);
  if (board?.practice && !job.invented) say(NOT_FILED, 'trouble');
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
  unsay(NOT_FILED);
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
  keepRow(splitFiring(whole).row);
  try {
    keepRow(await (await record()).addFiring(whole));
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
  const row = rowOf(id);
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
    const row = rowOf(id);
    return row && row.jobId === job.id ? [row] : [];
  });
}

/** A row has been changed in the record. */
export function adopt(row: FiringRow): void {
  keepRow(row);
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
