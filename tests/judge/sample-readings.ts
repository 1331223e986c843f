import type { Reading } from '../../app/judge/counted-readings.ts';
import type { RemarkCode } from '../../app/measure/figures.ts';
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';

/** A sound firing of this effective time. */
export function reading(time: number | null, ...codes: RemarkCode[]): Reading {
  const effective: Seconds | null = time === null ? null : seconds(time);
  return {
    figures: { effective, total: null, remarks: codes.map((code) => ({ code })) },
    firing: { spoilt: null },
    setAside: null,
    rest: null,
    exercised: false,
  };
}
