/**
 * Firings of the open job: measured as they come, written, moved, set aside. Rows and samples are held here,
 * outside the view.
 */
import type { CertifiedFiring } from '../../certificate/certificate.ts';
import { judgedTime } from '../../judge/counted-readings.ts';
import { farFromMark } from '../../judge/far-from-mark.ts';
import { farFromMarkQuestion } from '../../judge/verdict-words.ts';
import type { Firing } from '../../measure/figures.ts';
import { MEASURING_VERSION } from '../../measure/figures.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { nextReference } from '../../measure/reference-level.ts';
import { type FiringRow, joinFiring, splitFiring } from '../../record/firing-row.ts';
import type { BoardIdentity, FiringRecord, Job, StageId } from '../../record/job.ts';
import { type Reading, view } from '../view.ts';
import { speedOf } from './marks.ts';
import { say } from './notices.ts';
import { record } from './record.ts';
import { undoable } from './undo.ts';

/** Rows of the open job by id, as they are kept. */
const rows = new Map<string, FiringRow>();
/** Whole records that could not be written: they stay in memory until they can. */
const unwritten = new Map<string, FiringRecord>();
/** The latest firings with their samples, so that looking back a little reads nothing from disk. */
const curves = new Map<string, Firing>();
const CURVES_AT_HAND = 40;

/** What was so when the light came: the user may turn the dial while the shutter is still open. */
interface Circumstances {
  readonly id: string;
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly ordinal: number;
  readonly at: string;
  readonly rest: number | null;
}

let present: Circumstances | null = null;

/** Takes up the rows of a job that has just been opened, and those of it that still wait to be written. */
export function adoptReadings(jobId: string, kept: readonly FiringRow[]): readonly Reading[] {
  rows.clear();
  for (const row of kept) rows.set(row.id, row);
  for (const whole of unwritten.values())
    if (whole.jobId === jobId) rows.set(whole.id, splitFiring(whole).row);
  return [...rows.values()].sort((a, b) => a.ordinal - b.ordinal).map(asReading);
}

const asReading = (row: FiringRow): Reading => ({
  id: row.id,
  stage: row.stage,
  mark: row.mark,
  ordinal: row.ordinal,
  at: row.at,
  figures: row.figures,
  spoilt: row.firing.spoilt,
  setAside: row.setAside,
  kept: unwritten.has(row.id) ? 'not recorded' : 'recorded',
  question: null,
});

/** The open level of a set-up that no longer stands must not be used again. */
export function dropReference(): void {
  view.setState({ reference: null });
}

/** First light: notes which job, stage and mark the firing will belong to. */
export function lightCame(): void {
  const { job, stage, mark, readings } = view.getState();
  present = null;
  if (!job || mark === null) return;
  const now = new Date();
  const before = readings.at(-1);
  present = {
    id: crypto.randomUUID(),
    job,
    stage,
    mark,
    ordinal: (before?.ordinal ?? 0) + 1,
    at: now.toISOString(),
    rest: before ? Math.max(0, (now.getTime() - Date.parse(before.at)) / 1000) : null,
  };
}

/** Shows a reading before the rebound window has ended; the final one replaces it. */
export function showProvisional(firing: Firing): void {
  if (!present) lightCame();
  if (!present) return;
  const figures = measureFiring(firing, { reference: view.getState().reference });
  hold(present.id, firing);
  place({ ...base(present, firing), figures, kept: 'provisional', question: null }, present.job.id);
}

/** A firing is complete: it is measured, shown, and written. `board` null: played back, so not filed. */
export async function fileFiring(firing: Firing, board: BoardIdentity | null): Promise<void> {
  if (!present) lightCame();
  const circumstances = present;
  present = null;
  if (!circumstances) {
    say('Light was seen, but no job is open: nothing was recorded.', 'trouble');
    return;
  }
  const { reference } = view.getState();
  const figures = measureFiring(firing, { reference });
  view.setState({ reference: nextReference(reference, firing, figures) });
  const { id, job, stage, mark, ordinal, at, rest } = circumstances;
  hold(id, firing);
  const time = firing.spoilt === null ? judgedTime(figures) : null;
  const speed = speedOf(job, mark);
  const far = time !== null && speed ? farFromMark(time, speed, job.series, job.referenceRule) : null;
  const reading: Reading = {
    ...base(circumstances, firing),
    figures,
    kept: board ? 'writing' : 'played back',
    question: far && { words: farFromMarkQuestion(mark, far), nearest: far.nearest?.label ?? null },
  };
  place(reading, job.id);
  if (!board) return;
  const whole: FiringRecord = {
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
    reference,
    clockCorrection: null,
    measuringVersion: MEASURING_VERSION,
    setAside: null,
    movedFrom: [],
  };
  await write(whole);
}

async function write(whole: FiringRecord): Promise<void> {
  keep(splitFiring(whole).row);
  try {
    keep(await (await record()).addFiring(whole));
    unwritten.delete(whole.id);
    change(whole.id, { kept: 'recorded' });
    view.setState({ recordTrouble: null });
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

export async function retryWriting(id: string): Promise<void> {
  const whole = unwritten.get(id);
  if (!whole) return;
  change(id, { kept: 'writing' });
  await write(whole);
}

export const hasUnwritten = (): boolean => unwritten.size > 0;

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

/** The user says that the dial did stand there. */
export function keepAtMark(id: string): void {
  change(id, { question: null });
}

/** Files the shown firing under another mark. */
export function moveLatest(mark: string): void {
  const { shown } = view.getState();
  const row = shown === null ? undefined : rows.get(shown);
  if (!row || row.mark === mark) return;
  void alter(row, `firing ${row.ordinal} moved from ${row.mark} to ${mark}`, (kept) =>
    kept.moveFiring(row.id, mark),
  );
}

/** Leaves the shown firing out of the statistics, or takes it in again. */
export function askSetAside(): void {
  const { shown } = view.getState();
  const row = shown === null ? undefined : rows.get(shown);
  if (!row || row.firing.spoilt !== null) return;
  if (row.setAside !== null) {
    void alter(row, `firing ${row.ordinal} brought back`, (kept) => kept.setAside(row.id, null));
    return;
  }
  const reason = prompt('Why is this firing set aside? It stays in the record with your reason.', '');
  if (reason === null) return;
  void alter(row, `firing ${row.ordinal} set aside`, (kept) =>
    kept.setAside(row.id, reason.trim() || 'no reason given'),
  );
}

/** Looks at an earlier or later reading. */
export function lookBack(step: number): void {
  const { readings, shown } = view.getState();
  const at = readings.findIndex((r) => r.id === shown);
  const next = readings[Math.min(readings.length - 1, Math.max(0, (at < 0 ? readings.length : at) + step))];
  if (next) view.setState({ shown: next.id });
}

type Kept = Awaited<ReturnType<typeof record>>;

async function alter(
  row: FiringRow,
  words: string,
  how: (kept: Kept) => Promise<{ readonly previous: FiringRow; readonly current: FiringRow }>,
): Promise<void> {
  if (unwritten.has(row.id)) {
    say('This firing is not recorded yet: record it first.', 'trouble');
    return;
  }
  try {
    const { previous, current } = await how(await record());
    adopt(current);
    undoable(words, async () => adopt((await (await record()).restoreFiring(previous)).current));
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}

function adopt(row: FiringRow): void {
  rows.set(row.id, row);
  change(row.id, { mark: row.mark, setAside: row.setAside, question: null });
}

const base = ({ id, stage, mark, ordinal, at }: Circumstances, firing: Firing) => ({
  id,
  stage,
  mark,
  ordinal,
  at,
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
