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
  };
}

/** Seeded generator (mulberry32), uniform in [0, 1). */
export function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
