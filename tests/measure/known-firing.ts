/** Firings made of known light, as the finder would hand them over. */

import type { Figures, Firing, RemarkCode } from '../../app/measure/figures.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import {
  type Converter,
  convert,
  type KnownOpening,
  knownRecord,
  SECONDS_PER_SAMPLE,
  TICK_HZ,
  TICKS_PER_SAMPLE,
  USUAL,
} from './known-light.ts';

export function firingOf(samples: Uint8Array, change: Partial<Firing> = {}): Firing {
  return {
    channel: 0,
    tickHz: TICK_HZ,
    firstTick: ticks(0),
    ticksPerSample: TICKS_PER_SAMPLE,
    samples,
    fullScale: 255,
    contact: [],
    truncated: 'no',
    spoilt: null,
    ...change,
  };
}

export const knownFiring = (opening: KnownOpening, seed: number, converter?: Converter) =>
  firingOf(knownRecord(opening, seed, converter));

/** A firing of any light, `length` seconds long. */
export function lightFiring(
  light: (time: number) => number,
  length: number,
  seed: number,
  converter = USUAL,
) {
  return firingOf(convert(light, Math.round(length / SECONDS_PER_SAMPLE), converter, seededRandom(seed)));
}

export const codesIn = ({ remarks }: Figures): RemarkCode[] => remarks.map(({ code }) => code);

export const remarkValue = ({ remarks }: Figures, wanted: RemarkCode) =>
  remarks.find(({ code }) => code === wanted)?.value;
