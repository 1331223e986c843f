import { profileOf } from '../judge/profile.ts';
import type { Series } from '../judge/verdict.ts';
import { fittingProgramme } from './fitting-programme.ts';
import { type Job, STAGES, type StageId } from './job.ts';
import { RecordError } from './record-error.ts';

/**
 * The job with another series on its speed ring. Whatever was said of a mark that stays is kept: its band, its
 * place in the profile; marks that are new get their usual place. The programme loses the steps at marks that go.
 *
 * @throws RecordError 'refused', with a sentence for the user, if an outcome recorded for a mark would be lost.
 */
export function withSeries(job: Job, series: Series): Job {
  const stays = new Set(series.speeds.map(({ label }) => label));
  const lost = STAGES.flatMap((stage) =>
    Object.entries(job.stages[stage].outcomes)
      .filter(([mark]) => !stays.has(mark))
      .map(([mark, outcome]) => `${mark} (${outcome}, ${stage})`),
  );
  if (lost.length > 0) {
    throw new RecordError('refused', `Take back these outcomes on the bench first: ${lost.join(', ')}.`);
  }

  const was = new Set(job.series.speeds.map(({ label }) => label));
  const usual = profileOf(series);
  const marks = (list: 'governed' | 'pallet' | 'booster') =>
    series.speeds
      .map(({ label }) => label)
      .filter((label) => (was.has(label) ? job.profile : usual)[list].includes(label));
  return {
    ...job,
    series,
    bands: Object.fromEntries(Object.entries(job.bands).filter(([mark]) => stays.has(mark))),
    profile: {
      governed: marks('governed'),
      pallet: marks('pallet'),
      booster: marks('booster'),
      fromCentre: job.profile.fromCentre,
    },
    ...withProgrammeOf(job, series),
  };
}

/** Skipped steps are known by their place, which changes when steps before them go. */
function withProgrammeOf(job: Job, series: Series): Pick<Job, 'programme' | 'stages'> {
  const { programme, stages } = job;
  if (programme === null) return { programme, stages };
  const fitting = fittingProgramme(programme, series);
  const kept = programme.steps.filter((step) => fitting?.steps.includes(step));
  const skipped = (places: readonly number[]) =>
    places.map((place) => kept.indexOf(programme.steps[place]!)).filter((place) => place >= 0);
  const adapted = STAGES.map((stage) => [
    stage,
    { ...stages[stage], skipped: skipped(stages[stage].skipped) },
  ]);
  return {
    programme: fitting,
    stages: Object.fromEntries(adapted) as Record<StageId, Job['stages'][StageId]>,
  };
}
