/** What a camera's exposure meter reads against light of known strength. */
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { exposureValueOfLight, exposureValueOfSetting } from './exposure-values.ts';
import type { MeterPoint, MeterTest } from './meter-test.ts';
import { addValue, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import { nearestThird } from './thirds.ts';
import type { Interval } from './verdict.ts';

/**
 * Own choice, no source. `error`: what negative film forgives, and about as fine as a needle can be read twice
 * over. `correction`: beyond it a meter has failed rather than aged, and it will not stay where it is.
 */
export const METER_LIMITS = {
  points: 3,
  span: stops(3),
  error: stops(0.5),
  correction: stops(2),
  slope: 0.05,
} as const;

export interface MeterPointResult {
  readonly id: string;
  /** What the light asks for at the film speed that was set. */
  readonly expected: Stops;
  readonly read: Stops;
  /** Read less expected: positive is too high, so that film exposed by it gets too little. */
  readonly error: Stops;
}

/** Of the value read against the value expected; 1 is right. */
export interface MeterSlope {
  readonly value: number;
  /** 95 %, Student's t with n − 2 degrees of freedom. */
  readonly interval: { readonly lower: number; readonly upper: number };
}

export type MeterAdvice =
  | 'usable'
  | 'usable with correction'
  | 'not to be relied on'
  | 'too few points' // fewer than METER_LIMITS.points, or over less than METER_LIMITS.span
  | 'light not known well enough'; // its uncertainty alone exceeds the limit

export interface MeterResult {
  /** In the order of the test. */
  readonly points: readonly MeterPointResult[];
  /** Of the expected values; null without a point. Nothing is said of light outside it. */
  readonly range: Interval | null;
  /** Mean error; null without a point. */
  readonly mean: Stops | null;
  /** 95 % of the mean error, the light's uncertainty in it where it is stated; null under two points. */
  readonly meanInterval: Interval | null;
  /** Standard deviation of the errors; null under two points. */
  readonly spread: Stops | null;
  /** Null under three points, or where all were read in the same light. */
  readonly slope: MeterSlope | null;
  readonly advice: MeterAdvice;
  /** What to add to the value read, in whole thirds of a stop, for 'usable with correction'; 0 otherwise. */
  readonly correctionThirds: number;
  /** The light's uncertainty could have turned the advice. */
  readonly doubtful: boolean;
}

/** @throws RangeError with a sentence if a light, a reading, the film speed or the constant is not above zero. */
export function meterResult(test: MeterTest): MeterResult {
  const points = test.points.map((point) => pointResult(test, point));
  const errors = points.map(({ error }) => error);
  const moments = errors.reduce(addValue, NO_MOMENTS);
  const mean = points.length === 0 ? null : stops(moments.mean);
  const spread = standardDeviation(moments) as Stops | null;
  const expected = points.map((point) => point.expected);
  const range =
    points.length === 0 ? null : { lower: stops(Math.min(...expected)), upper: stops(Math.max(...expected)) };
  const uncertainty = test.source.uncertainty ?? 0;
  return {
    points,
    range,
    mean,
    meanInterval:
      mean === null || spread === null ? null : meanWithLight(mean, spread, points.length, uncertainty),
    spread,
    slope: slopeOf(points),
    ...advised(errors, range, uncertainty),
  };
}

function pointResult({ iso, constant }: MeterTest, { id, light, reading }: MeterPoint): MeterPointResult {
  const expected = exposureValueOfLight(light, iso, constant.value);
  const read = 'ev' in reading ? stops(reading.ev) : exposureValueOfSetting(reading.fNumber, reading.seconds);
  if (!Number.isFinite(read)) throw new RangeError(`The reading must be a number, not ${read}.`);
  return { id, expected, read, error: stops(read - expected) };
}

/** The light is off by the same at all points, as far as its uncertainty goes, so that more points don't help. */
function meanWithLight(mean: Stops, spread: Stops, n: number, uncertainty: number): Interval {
  const ofPoints = (studentQuantile(0.975, n - 1) * spread) / Math.sqrt(n);
  const half = Math.hypot(ofPoints, uncertainty);
  return { lower: stops(mean - half), upper: stops(mean + half) };
}

/** Least squares of the value read on the value expected. The light's own error, the same at all points, leaves it alone. */
function slopeOf(points: readonly MeterPointResult[]): MeterSlope | null {
  const n = points.length;
  if (n < 3) return null;
  const mean = (of: (point: MeterPointResult) => number) =>
    points.reduce((sum, point) => sum + of(point), 0) / n;
  const centre = mean(({ expected }) => expected);
  const centreRead = mean(({ read }) => read);
  const sum = (of: (point: MeterPointResult) => number) =>
    points.reduce((total, point) => total + of(point), 0);
  const squares = sum(({ expected }) => (expected - centre) ** 2);
  if (squares < 1e-9) return null;
  const value = sum(({ expected, read }) => (expected - centre) * (read - centreRead)) / squares;
  const left = sum(({ expected, read }) => (read - centreRead - value * (expected - centre)) ** 2);
  const half = studentQuantile(0.975, n - 2) * Math.sqrt(left / (n - 2) / squares);
  return { value, interval: { lower: value - half, upper: value + half } };
}

type Advised = Pick<MeterResult, 'advice' | 'correctionThirds' | 'doubtful'>;

/**
 * Judged by the points that were read: usable if all of them are within the limit; usable with correction if one
 * correction, in thirds of a stop and no larger than its own limit, brings all of them within it.
 */
function advised(errors: readonly Stops[], range: Interval | null, uncertainty: number): Advised {
  const plain = (advice: MeterAdvice): Advised => ({ advice, correctionThirds: 0, doubtful: false });
  if (range === null || errors.length < METER_LIMITS.points) return plain('too few points');
  if (range.upper - range.lower < METER_LIMITS.span - ROUNDING) return plain('too few points');
  if (uncertainty > METER_LIMITS.error) return plain('light not known well enough');
  const found = adviceFor(errors);
  const doubtful = [-uncertainty, uncertainty].some(
    (shift) => adviceFor(errors.map((error) => stops(error + shift))).advice !== found.advice,
  );
  return { ...found, doubtful };
}

/** Steps of light in whole stops must not fail their limit by the last digit of a logarithm. */
const ROUNDING = 1e-9;

function adviceFor(errors: readonly Stops[]): Pick<MeterResult, 'advice' | 'correctionThirds'> {
  const within = (thirds: number) =>
    errors.every((error) => Math.abs(error + thirds / 3) <= METER_LIMITS.error + ROUNDING);
  if (within(0)) return { advice: 'usable', correctionThirds: 0 };
  // Midway between the extremes: whatever lies within the limit about anything does so about this.
  const middle = stops((Math.min(...errors) + Math.max(...errors)) / 2);
  const correctionThirds = -nearestThird(middle);
  const small = Math.abs(correctionThirds) / 3 <= METER_LIMITS.correction + ROUNDING;
  if (small && within(correctionThirds)) return { advice: 'usable with correction', correctionThirds };
  return { advice: 'not to be relied on', correctionThirds: 0 };
}
