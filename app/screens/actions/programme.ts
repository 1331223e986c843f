/**
 * Follows the programme of the job: after each firing the mark goes on by itself, unless a question about
 * that firing is open. Which step it stands at is worked out from the readings alone, so that moving or
 * setting aside a firing takes the programme back with it.
 */
import { whyNotCounted } from '../../judge/counted-readings.ts';
import { type ProgrammePlace, programmePlace } from '../../judge/programme-place.ts';
import type { Job, StageId } from '../../record/job.ts';
import { type Reading, view } from '../view.ts';
import { announceNext } from './announce.ts';
import { changeJob, setMark } from './jobs.ts';
import { belongsToJob } from './readings.ts';

/** Null without a programme. Steps of marks that have an outcome instead of readings are passed over. */
export function placeOf(job: Job, readings: readonly Reading[], stage: StageId): ProgrammePlace | null {
  const { programme } = job;
  if (!programme) return null;
  const counted = readings.filter(
    (reading) =>
      reading.stage === stage &&
      reading.kept !== 'provisional' &&
      belongsToJob(reading) &&
      whyNotCounted({ ...reading, firing: { spoilt: reading.spoilt } }) === null,
  );
  const { skipped, outcomes } = job.stages[stage];
  const settled = programme.steps.flatMap(({ mark }, index) => (outcomes[mark] ? [index] : []));
  return programmePlace(programme, counted, [...skipped, ...settled]);
}

/** The mark of the last firing is to be fired once more before the programme goes on. */
let repeating: { readonly jobId: string; readonly after: number } | null = null;

/** Goes along with job, stage and readings from now on. */
export function followProgramme(): void {
  let at = '';
  view.subscribe(({ job, readings, stage }, before) => {
    if (job === before.job && readings === before.readings && stage === before.stage) return;
    if (!job) return;
    if (job.programme !== before.job?.programme || job.id !== before.job?.id) at = '';
    const last = readings.findLast(belongsToJob);
    if (last && (last.kept === 'provisional' || last.question !== null)) return;
    if (repeating !== null) {
      if (repeating.jobId === job.id && (last?.ordinal ?? 0) <= repeating.after) return;
      repeating = null;
      at = '';
    }
    const place = placeOf(job, readings, stage);
    if (!place) return;
    const now = `${job.id} ${stage} ${place.step}`;
    if (now === at) return;
    const first = at === '';
    at = now;
    const mark = place.now?.mark ?? null;
    if (mark !== null && mark !== view.getState().mark) setMark(mark);
    if (!first || mark !== null) announceNext(mark);
  });
}

/** Once more at the mark of the last firing. */
export function repeatLast(): void {
  const { job, readings } = view.getState();
  const last = readings.findLast(belongsToJob);
  if (!job || !last) return;
  if (job.programme) repeating = { jobId: job.id, after: last.ordinal };
  setMark(last.mark);
}

/** Leaves the present step of the programme out. */
export function skipStep(): void {
  const { job, readings, stage } = view.getState();
  const place = job && placeOf(job, readings, stage);
  if (!job || !place?.now) return;
  const [step, { mark }] = [place.step!, place.now];
  repeating = null;
  changeJob(
    (j) => {
      const there = j.stages[stage];
      return { ...j, stages: { ...j.stages, [stage]: { ...there, skipped: [...there.skipped, step] } } };
    },
    `step ${step + 1} of the programme (${mark}) skipped`,
  );
}
