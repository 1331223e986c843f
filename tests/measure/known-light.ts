/** Light whose exact times are known, and the samples an 8-bit converter makes of it. */

import { seededRandom } from '../seeded-random.ts';

/** Open fraction on an edge of length 1: straight, or blades whose open area grows as the square of time. */
export type EdgeShape = 'straight' | 'squared';

export interface KnownOpening {
  readonly shape: EdgeShape;
  /** Opening edge, fully open, closing edge, in seconds. */
  readonly rise: number;
  readonly open: number;
  readonly fall: number;
}

const grown = (shape: EdgeShape, share: number) => (shape === 'straight' ? share : share * share);

/** Open fraction at a time counted from the first light. */
export function openFraction({ shape, rise, open, fall }: KnownOpening, time: number): number {
  if (time <= 0) return 0;
  if (time < rise) return grown(shape, time / rise);
  if (time <= rise + open) return 1;
  const left = rise + open + fall - time;
  return left <= 0 ? 0 : grown(shape, left / fall);
}

const edgeArea = (shape: EdgeShape) => (shape === 'straight' ? 1 / 2 : 1 / 3);
const halfAt = (shape: EdgeShape) => (shape === 'straight' ? 0.5 : Math.SQRT1_2);

export const exactEffective = ({ shape, rise, open, fall }: KnownOpening) =>
  open + edgeArea(shape) * (rise + fall);

export const exactHalfHeight = ({ shape, rise, open, fall }: KnownOpening) =>
  open + (1 - halfAt(shape)) * (rise + fall);

/** An opening of a given effective time with equal edges. */
export function openingOf(effective: number, shape: EdgeShape, edge: number): KnownOpening {
  return { shape, rise: edge, open: effective - 2 * edge * edgeArea(shape), fall: edge };
}

/** Normal deviates of mean 0 and standard deviation 1, by Box and Muller. */
export function seededNormal(random: () => number): () => number {
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

/** The board's own sample period: 13 ADC clocks at 16 MHz / 32. */
export const SECONDS_PER_SAMPLE = 26e-6;
export const TICK_HZ = 16_000_000;
export const TICKS_PER_SAMPLE = 416;

export interface Converter {
  readonly dark: number;
  readonly height: number;
  /** rms of the noise before the converter, in steps. */
  readonly noise: number;
}

export const USUAL: Converter = { dark: 12.3, height: 200, noise: 1 };

/** Codes of a light (open fraction against seconds) sampled `count` times; floored like an ADC's. */
export function convert(
  light: (time: number) => number,
  count: number,
  { dark, height, noise }: Converter,
  random: () => number,
): Uint8Array {
  const normal = seededNormal(random);
  const codes = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const value = dark + height * light(i * SECONDS_PER_SAMPLE) + noise * normal();
    codes[i] = Math.min(Math.max(Math.floor(value), 0), 255);
  }
  return codes;
}

/** Record of one opening with dark before and after it, its phase against the sampling drawn at random. */
export function knownRecord(
  opening: KnownOpening,
  seed: number,
  converter = USUAL,
  before = 0.22,
  after = 0.115,
) {
  const random = seededRandom(seed);
  const start = before + random() * SECONDS_PER_SAMPLE;
  const length = start + opening.rise + opening.open + opening.fall + after;
  const count = Math.ceil(length / SECONDS_PER_SAMPLE);
  return convert((time) => openFraction(opening, time - start), count, converter, random);
}
