/** Which marks stand beside each other while the governor is being moved. */
import type { Job } from '../record/job.ts';

export const LEAST_SIDE_BY_SIDE = 2;
export const MOST_SIDE_BY_SIDE = 4;

/** In the order of the speed ring. */
export const inOrder = (job: Job, marks: readonly string[]): readonly string[] =>
  job.series.speeds.map(({ label }) => label).filter((label) => marks.includes(label));

/** The chosen marks that this job has; at first the dial's mark and its neighbours. */
export function marksSideBySide(job: Job, chosen: readonly string[], mark: string): readonly string[] {
  const there = inOrder(job, chosen);
  if (there.length >= LEAST_SIDE_BY_SIDE) return there.slice(0, MOST_SIDE_BY_SIDE);
  const timed = job.series.speeds.filter(({ marked }) => marked !== null).map(({ label }) => label);
  // At an end of the ring there is a neighbour on one side only: the two next to it then.
  const first = Math.max(0, Math.min(timed.indexOf(mark) - 1, timed.length - 3));
  return timed.slice(first, first + 3);
}
