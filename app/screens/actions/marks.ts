import type { Band, MarkedSpeed } from '../../judge/verdict.ts';
import type { Job } from '../../record/job.ts';

export const speedOf = (job: Job, label: string): MarkedSpeed | null =>
  job.series.speeds.find((speed) => speed.label === label) ?? null;

export const bandOf = (job: Job, label: string): Band => job.bands[label] ?? job.band;

/** The mark `step` places further on the ring, stopping at its ends. */
export function neighbour(job: Job, label: string, step: number): string {
  const { speeds } = job.series;
  const at = speeds.findIndex((speed) => speed.label === label);
  return speeds[Math.min(speeds.length - 1, Math.max(0, at + step))]?.label ?? label;
}

/** Where the dial stands when a job is opened: the first mark that has a time. */
export const firstTimed = (job: Job): string =>
  (job.series.speeds.find((speed) => speed.marked !== null) ?? job.series.speeds[0])?.label ?? 'B';
