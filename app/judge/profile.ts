import type { ShutterProfile } from './set-up.ts';
import type { Series } from './verdict.ts';

/** Seconds. Common practice for leaf shutters, no source: a maker's own list goes before it. */
const PALLET_FROM = 1 / 10;
const GOVERNED_FROM = 1 / 150;

/**
 * What a job starts from until the user says otherwise: the governor holds the blades at 1/125 and all slower
 * marks, its pallet works at 1/10 and slower, no mark uses a booster spring, and the blades uncover the opening
 * from its centre. B and T are in no list.
 */
export function profileOf(series: Series): ShutterProfile {
  const from = (shortest: number) =>
    series.speeds.filter(({ marked }) => marked !== null && marked >= shortest).map(({ label }) => label);
  return { governed: from(GOVERNED_FROM), pallet: from(PALLET_FROM), booster: [], fromCentre: true };
}
