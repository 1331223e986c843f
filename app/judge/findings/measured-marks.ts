/** The readings of a stage, mark by mark, as the findings hold them against each other. */
import type { FindingReading, FindingsInput } from '../finding.ts';
import { addValue, NO_MOMENTS, standardDeviation } from '../running-moments.ts';
import { combinedVariance, type Variance } from './student-test.ts';
import { CAM_SD, CAM_SD_FASTEST, FASTEST_MARKS } from './thresholds.ts';

/** A reading that enters the statistics and has a time. */
export type TimedReading = FindingReading & { readonly time: NonNullable<FindingReading['time']> };

/** A timed mark with at least two counted readings. Errors are log2(time / reference), in stops. */
export interface MeasuredMark {
  readonly label: string;
  /** Seconds. */
  readonly reference: number;
  readonly governed: boolean;
  readonly pallet: boolean;
  readonly booster: boolean;
  readonly readings: readonly TimedReading[];
  readonly errors: readonly number[];
  readonly meanError: number;
  /** Of one firing. */
  readonly spread: Variance;
  /** Of the mean error as the firings alone give it. */
  readonly ofFirings: Variance;
  /** Of the mean error about zero on a sound shutter: its cam's offset on top. */
  readonly ofSound: Variance;
}

const isTimed = (reading: FindingReading): reading is TimedReading =>
  reading.counted && !reading.afterRest && reading.time !== null;

/** In the order of the series. */
export function measuredMarks({ marks, profile }: FindingsInput): MeasuredMark[] {
  const fastest = marks
    .flatMap(({ reference }) => reference ?? [])
    .sort((a, b) => a - b)
    .slice(0, FASTEST_MARKS);
  return marks.flatMap(({ label, reference, readings }) => {
    const timed = readings.filter(isTimed);
    if (reference === null || timed.length < 2) return [];
    const errors = timed.map((reading) => Math.log2(reading.time / reference));
    const moments = errors.reduce(addValue, NO_MOMENTS);
    const spread: Variance = { variance: standardDeviation(moments)! ** 2, dof: timed.length - 1 };
    const ofFirings: Variance = { variance: spread.variance / timed.length, dof: spread.dof };
    const camSd = fastest.includes(reference) ? CAM_SD_FASTEST : CAM_SD;
    return {
      label,
      reference,
      governed: profile.governed.includes(label),
      pallet: profile.pallet.includes(label),
      booster: profile.booster.includes(label),
      readings: timed,
      errors,
      meanError: moments.mean,
      spread,
      ofFirings,
      ofSound: combinedVariance([
        { weight: 1, ...ofFirings },
        { weight: 1, variance: camSd ** 2, dof: Number.POSITIVE_INFINITY },
      ]),
    };
  });
}

/** Variance of a single firing, pooled over several marks. */
export function pooledSpread(marks: readonly MeasuredMark[]): Variance {
  const dof = marks.reduce((sum, { spread }) => sum + spread.dof, 0);
  const squares = marks.reduce((sum, { spread }) => sum + spread.dof * spread.variance, 0);
  return { variance: squares / dof, dof };
}

export const idsOf = (marks: readonly { readonly readings: readonly FindingReading[] }[]): string[] =>
  marks.flatMap(({ readings }) => readings.map(({ id }) => id));
