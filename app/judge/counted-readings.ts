import type { Seconds } from '../../firmware-protocol/units.ts';
import type { Figures, RemarkCode, SpoiltCause } from '../measure/figures.ts';

/** What judging needs of a firing; a firing as it is kept in the record has this shape. */
export interface Reading {
  readonly figures: Pick<Figures, 'effective' | 'total' | 'remarks'>;
  readonly firing: { readonly spoilt: SpoiltCause | null };
  /** The user's reason for leaving it out, or null. */
  readonly setAside: string | null;
  /** Seconds since the firing before it, at whatever mark; null for the first of the job. */
  readonly rest: number | null;
  /** The user says that the shutter was exercised before it. */
  readonly exercised: boolean;
}

/** Why a firing is shown but not counted. */
export type NotCounted = 'spoilt' | 'set aside' | 'no time' | 'time not valid' | 'after rest';

/**
 * From this many seconds without a firing the shutter has stood, and the next firing is the first after a rest.
 * Firing, cocking and turning the ring take seconds, writing something down a minute or two: after ten minutes
 * the shutter was put down, and a lubricant that gums has had time to set. Common practice is to exercise
 * it then and not to count the first; the length is our own choice, no source.
 */
export const REST_SECONDS = 600;

/**
 * Remarks after which the time is known to be wrong by an unknown amount, so that a mean with it would be
 * a false reading: the light was clipped, the open level unknown, or the record doesn't hold all of it.
 * Flicker and a light that drifts are not among them: the firing's time stands, with a remark. What they do to it
 * differs from firing to firing, so that the scatter holds it.
 */
const INVALIDATING: ReadonlySet<RemarkCode> = new Set<RemarkCode>([
  'saturated',
  'no open level',
  'truncated start',
  'truncated end',
  'never closed',
  'spoilt',
]);

/**
 * Highest light as a share of the reference under which a time read against it says nothing. A shutter makes
 * its full stroke at every mark; half a stop short of it the lamp, the iris or the sensor was moved more
 * likely than not, and the time is wrong by as much. Our own choice, no source.
 */
const LEAST_PEAK = 0.7;

/**
 * The time that is judged: the effective exposure time without light after closing, or the open time of a
 * board that times edges and has nothing else. Null where neither could be had.
 */
export function judgedTime(figures: Pick<Figures, 'effective' | 'total' | 'remarks'>): Seconds | null {
  const edgesOnly = figures.remarks.some(({ code }) => code === 'open time only');
  const time = edgesOnly ? figures.total : figures.effective;
  return time !== null && time > 0 && Number.isFinite(time) ? time : null;
}

/**
 * The first firing after a rest of REST_SECONDS or more, unless the shutter was exercised. It is kept apart from
 * the mean, and shown. The first firing of a job is not one: nobody knows how long the shutter had stood.
 */
export function afterRest({ rest, exercised }: Pick<Reading, 'rest' | 'exercised'>): boolean {
  return rest !== null && rest >= REST_SECONDS && !exercised;
}

/**
 * Null when the firing counts. The first reason that holds, in the order the user would name them: a rest comes
 * last, since it keeps apart a firing that is sound otherwise.
 */
export function whyNotCounted(reading: Reading): NotCounted | null {
  if (reading.firing.spoilt !== null) return 'spoilt';
  if (reading.setAside !== null) return 'set aside';
  if (judgedTime(reading.figures) === null) return 'no time';
  const codes = reading.figures.remarks.map(({ code }) => code);
  if (codes.some((code) => INVALIDATING.has(code))) return 'time not valid';
  // The level the time was read against has just been shown to be wrong.
  if (codes.includes('light changed') && codes.includes('reference level used')) return 'time not valid';
  const peak = reading.figures.remarks.find(({ code }) => code === 'low peak')?.value;
  if (peak !== undefined && peak < LEAST_PEAK) return 'time not valid';
  return afterRest(reading) ? 'after rest' : null;
}
