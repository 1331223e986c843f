/** What a light check and a check with the reference light find. Kept with the job and printed. */

export type LightProblem =
  | 'dark unsteady'
  | 'dark too bright'
  | 'noisy'
  | 'weak'
  | 'too bright'
  | 'flicker'
  | 'drift';

export interface LightCheckResult {
  /** Codes. */
  readonly dark: number;
  /** Standard deviation of one dark sample, codes. */
  readonly noise: number;
  /** Seconds of dark, and of open light, that the figures rest on. */
  readonly darkSeconds: number;
  readonly openSeconds: number;
  /** Open minus dark, codes, with its standard uncertainty. */
  readonly height: number;
  readonly heightUncertainty: number;
  /** Share of the converter's range that is left above the open level. */
  readonly headroom: number;
  /** The stronger of the two, amplitude as a share of the open level; null when neither stands out of the noise. */
  readonly flicker: { readonly hertz: 100 | 120; readonly amplitude: number } | null;
  /** Change of the open level as a share of it per minute, with its standard uncertainty; null under 10 s of light. */
  readonly drift: { readonly perMinute: number; readonly uncertainty: number } | null;
  /** Empty: passed. */
  readonly problems: readonly LightProblem[];
}

/** One length of reference pulse. */
export interface PulseResult {
  /** Exact length by the board's ticks, seconds. */
  readonly length: number;
  readonly count: number;
  /** Mean measured minus exact, seconds, and the standard deviation of one pulse. */
  readonly error: number;
  readonly sd: number;
  /** Within the limit for this length. */
  readonly within: boolean;
}

export interface ReferenceLightResult {
  readonly pulses: readonly PulseResult[];
  /** Largest error allowed: this many seconds plus this share of the length. */
  readonly limit: { readonly seconds: number; readonly share: number };
  readonly passed: boolean;
}
