import type { Programme } from '../judge/programme.ts';
import type { Series } from '../judge/verdict.ts';

/** The programme without the steps at marks that the series has not; null if none is left. */
export function fittingProgramme(programme: Programme, series: Series): Programme | null {
  const steps = programme.steps.filter(({ mark }) => series.speeds.some(({ label }) => label === mark));
  if (steps.length === programme.steps.length) return programme;
  return steps.length === 0 ? null : { ...programme, steps };
}
