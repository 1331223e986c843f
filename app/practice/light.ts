import { normalNoiseAt } from './random.ts';

/** What the sensor sees, in steps of 8 bits (0 to 256) as the firmware will read them. */
export interface LightLevels {
  readonly dark: number;
  readonly open: number;
  /** Standard deviation of the noise on one sample. */
  readonly noise: number;
}

export const PRACTICE_LIGHT: LightLevels = { dark: 6.4, open: 205.7, noise: 1 };

/** The converter has 10 bits; the firmware takes the upper eight. */
const CODES_PER_STEP = 4;

/** @throws RangeError unless 0 ≤ dark < open and noise ≥ 0, all finite. */
export function checkLightLevels({ dark, open, noise }: LightLevels): void {
  if (!(dark >= 0 && open > dark && noise >= 0 && Number.isFinite(open) && Number.isFinite(noise))) {
    throw new RangeError('Light levels need 0 ≤ dark < open, and noise of at least 0.');
  }
}

/** Code on the converter's scale for this open fraction; not yet cut to whole codes. */
export function lightCode(levels: LightLevels, fraction: number, seed: number, cycle: number): number {
  const steps = levels.dark + (levels.open - levels.dark) * fraction;
  return CODES_PER_STEP * (steps + levels.noise * normalNoiseAt(seed, cycle));
}
