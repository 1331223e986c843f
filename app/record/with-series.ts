import { profileOf } from '../judge/profile.ts';
import type { Series } from '../judge/verdict.ts';
import { type Job, STAGES } from './job.ts';
import { RecordError } from './record-error.ts';

/**
 * The job with another series on its speed ring. Whatever was said of a mark that stays is kept: its band, its
 * place in the profile; marks that are new get their usual place.
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
  };
}
