/** Flicker of a lamp on the mains, told apart from noise. */

/** Twice the mains frequency, since a lamp shines in both half waves: 50 Hz and 60 Hz nets. */
const MAINS_RIPPLE = [100, 120] as const;
/** Frequencies at which a lamp on the mains shows nothing, and hum at 50 or 60 Hz and its triple neither. */
const QUIET = [70, 80, 140, 160] as const;
/** Noise powers scatter as their mean does; the ripple must exceed it by so many standard deviations. */
const OUTSTANDING = 6;
/** Fewer blocks than this decide nothing. */
const LEAST_BLOCKS = 5;

/** Of 0.1 s, in which 10 Hz, and so every frequency above, makes whole periods. Squared amplitudes in codes². */
export interface RippleBlock {
  readonly ripple: readonly [number, number];
  /** Mean squared amplitude at the quiet frequencies. */
  readonly quiet: number;
  /** Of the samples, the ripple included. */
  readonly variance: number;
}

export function rippleOf(values: ArrayLike<number>, secondsPerSample: number): RippleBlock {
  const n = values.length;
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < n; i++) {
    sum += values[i]!;
    squares += values[i]! * values[i]!;
  }
  const mean = sum / n;
  const at = (hertz: number) => squaredAmplitude(values, mean, hertz * secondsPerSample);
  return {
    ripple: [at(MAINS_RIPPLE[0]), at(MAINS_RIPPLE[1])],
    quiet: QUIET.reduce((total, hertz) => total + at(hertz), 0) / QUIET.length,
    variance: Math.max(squares / n - mean * mean, 0),
  };
}

/** Goertzel 1958; `frequency` in periods per sample. */
function squaredAmplitude(values: ArrayLike<number>, mean: number, frequency: number): number {
  const coefficient = 2 * Math.cos(2 * Math.PI * frequency);
  let before = 0;
  let last = 0;
  for (let i = 0; i < values.length; i++) {
    const next = values[i]! - mean + coefficient * last - before;
    before = last;
    last = next;
  }
  return (4 * (last * last + before * before - coefficient * last * before)) / values.length ** 2;
}

/**
 * The stronger of the two, amplitude as a share of `height`, or null when neither stands out of the noise. Powers
 * of the blocks are averaged, since the net's frequency wanders and phases over seconds mean nothing.
 */
export function flicker(
  blocks: readonly RippleBlock[],
  height: number,
): { readonly hertz: 100 | 120; readonly amplitude: number } | null {
  const n = blocks.length;
  if (n < LEAST_BLOCKS) return null;
  const meanOf = (value: (block: RippleBlock) => number) =>
    blocks.reduce((sum, block) => sum + value(block), 0) / n;
  const quiet = meanOf((block) => block.quiet);
  const powers = [meanOf(({ ripple }) => ripple[0]), meanOf(({ ripple }) => ripple[1])] as const;
  const stronger = powers[1] > powers[0] ? 1 : 0;
  const power = powers[stronger];
  // Under noise alone the power is exponential: its mean over n blocks scatters by 1/√n.
  if (power <= quiet * (1 + OUTSTANDING / Math.sqrt(n))) return null;
  return { hertz: MAINS_RIPPLE[stronger], amplitude: Math.sqrt(power - quiet) / height };
}
