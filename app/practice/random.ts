/**
 * Random numbers from a seed: the same seed gives the same sequence on every machine.
 * Generator: xoshiro128** (D. Blackman and S. Vigna, "Scrambled linear pseudorandom number generators",
 * 2018; placed in the public domain by its authors), filled from the seed by `mixed`.
 */
export class Random {
  readonly #state: Uint32Array;
  #spareNormal: number | null = null;

  /** `seed`: any number, or the generator's four 32-bit words, not all zero. */
  constructor(seed: number | readonly [number, number, number, number]) {
    const words = typeof seed === 'number' ? [1, 2, 3, 4].map((n) => mixed(seed, n)) : seed;
    this.#state = Uint32Array.from(words);
  }

  /** A whole number from 0 to 2^32 − 1. */
  bits32(): number {
    const s = this.#state;
    const result = Math.imul(rotatedLeft(Math.imul(s[1]!, 5), 7), 9) >>> 0;
    const shifted = s[1]! << 9;
    s[2]! ^= s[0]!;
    s[3]! ^= s[1]!;
    s[1]! ^= s[2]!;
    s[0]! ^= s[3]!;
    s[2]! ^= shifted;
    s[3] = rotatedLeft(s[3]!, 11);
    return result;
  }

  /** Evenly spread over the open interval from 0 to 1. */
  uniform(): number {
    return (this.bits32() + 0.5) / 2 ** 32;
  }

  /** True with this probability. */
  chance(probability: number): boolean {
    return this.uniform() < probability;
  }

  /** Standard normal (Box and Muller 1958). */
  normal(): number {
    if (this.#spareNormal !== null) {
      const spare = this.#spareNormal;
      this.#spareNormal = null;
      return spare;
    }
    const [one, other] = normalPair(this.uniform(), this.uniform());
    this.#spareNormal = other;
    return one;
  }

  /** A factor around 1 whose logarithm is normal with this standard deviation. */
  logNormal(sigma: number): number {
    return Math.exp(sigma * this.normal());
  }
}

/**
 * Standard normal noise as a function of time: the same seed and cycle give the same value, whatever was
 * asked before. So the light a test expects at a given cycle doesn't depend on what the board sampled.
 */
export function normalNoiseAt(seed: number, cycle: number): number {
  const here = mixed(seed, mixed(cycle >>> 0, Math.floor(cycle / 2 ** 32)));
  const u = (mixed(here, 1) + 0.5) / 2 ** 32;
  const v = (mixed(here, 2) + 0.5) / 2 ** 32;
  return normalPair(u, v)[0];
}

function normalPair(u: number, v: number): [number, number] {
  const radius = Math.sqrt(-2 * Math.log(u));
  return [radius * Math.cos(2 * Math.PI * v), radius * Math.sin(2 * Math.PI * v)];
}

const rotatedLeft = (word: number, places: number) => (word << places) | (word >>> (32 - places));

/** Two numbers stirred into 32 bits, with the finaliser of MurmurHash3 (A. Appleby, public domain). */
function mixed(seed: number, n: number): number {
  let h = Math.imul(seed ^ (seed >>> 16), 0x85ebca6b) + Math.imul(n, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
