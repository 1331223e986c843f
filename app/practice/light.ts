import { normalNoiseAt } from './random.ts';

/** What the sensor sees, in steps of 8 bits (0 to 256) as the firmware will read them. */
export interface LightLevels {
  readonly dark: number;
  /** With the opening wholly uncovered and the iris wide open. */
  readonly open: number;
  /** Standard deviation of the noise on one sample. */
  readonly noise: number;
  /** Ripple of a lamp on the mains, amplitude as a share of its light; none when left out. */
  readonly flicker?: { readonly hertz: 100 | 120; readonly amplitude: number };
  /** Change of the lamp's light as a share of it per minute, from when these levels were set; 0 when left out. */
  readonly driftPerMinute?: number;
  /** What the reference light adds while it is lit, in steps; REFERENCE_STEPS when left out. */
  readonly reference?: number;
  /** Time constant of sensor and amplifier in seconds (first order); 0 when left out. */
  readonly detectorLag?: number;
}

export const PRACTICE_LIGHT: LightLevels = { dark: 6.4, open: 205.7, noise: 1 };
const REFERENCE_STEPS = 180;

/** The converter has 10 bits; the firmware takes the upper eight. */
const CODES_PER_STEP = 4;
const LONGEST_LAG = 0.01;

/** @throws RangeError unless 0 ≤ dark < open and noise ≥ 0, all finite, and what is optional makes sense. */
export function checkLightLevels(levels: LightLevels): void {
  const { dark, open, noise, flicker, driftPerMinute = 0, reference = 0, detectorLag = 0 } = levels;
  if (!(dark >= 0 && open > dark && noise >= 0 && Number.isFinite(open) && Number.isFinite(noise))) {
    throw new RangeError('Light levels need 0 ≤ dark < open, and noise of at least 0.');
  }
  if (flicker && !(flicker.amplitude >= 0 && flicker.amplitude <= 1)) {
    throw new RangeError('Flicker has an amplitude of 0 to 1 of the light.');
  }
  if (!(Math.abs(driftPerMinute) <= 1)) throw new RangeError('Light drifts by −1 to 1 of itself per minute.');
  if (!(reference >= 0 && Number.isFinite(reference))) {
    throw new RangeError('The reference light adds at least 0 steps.');
  }
  if (!(detectorLag >= 0 && detectorLag <= LONGEST_LAG)) {
    throw new RangeError(`A detector lags by 0 to ${LONGEST_LAG} s.`);
  }
}

/** What stands in the light at any cycle, past ones included. */
export interface Scene {
  /** Light of the lamp that passes, as a share of that with the opening wholly uncovered, iris wide open. */
  readonly passes: (cycle: number) => number;
  readonly referenceIsLit: (cycle: number) => boolean;
  readonly cyclesPerSecond: number;
  /** When the levels were set: the lamp drifts from here. */
  readonly levelsSetAt: number;
}

/** Code on the converter's scale at this cycle; not yet cut to whole codes. */
export function lightCode(levels: LightLevels, scene: Scene, seed: number, cycle: number): number {
  const { dark, noise, detectorLag = 0 } = levels;
  let light = 0;
  if (detectorLag === 0) {
    light = lightBefore(levels, scene, cycle);
  } else {
    for (const delay of LAG_DELAYS) {
      light += lightBefore(levels, scene, cycle - delay * detectorLag * scene.cyclesPerSecond);
    }
    light /= LAG_PARTS;
  }
  return CODES_PER_STEP * (dark + light + noise * normalNoiseAt(seed, cycle));
}

/** Steps above dark that fall on the detector. */
function lightBefore(levels: LightLevels, scene: Scene, cycle: number): number {
  const { dark, open, flicker, driftPerMinute = 0, reference = REFERENCE_STEPS } = levels;
  const led = scene.referenceIsLit(cycle) ? reference : 0;
  const passes = scene.passes(cycle);
  if (passes === 0) return led;
  let lamp = 1;
  if (driftPerMinute !== 0) {
    const minutes = (cycle - scene.levelsSetAt) / scene.cyclesPerSecond / 60;
    lamp = Math.max(0, 1 + driftPerMinute * minutes);
  }
  if (flicker) {
    lamp *= 1 + flicker.amplitude * Math.cos((2 * Math.PI * flicker.hertz * cycle) / scene.cyclesPerSecond);
  }
  return (open - dark) * lamp * passes + led;
}

/**
 * A lag as the mean of the light a little while ago: delays at the middles of equal parts of the exponential
 * distribution, in time constants. A mean over delays keeps the area under any light exactly, and no state is
 * carried from sample to sample, so that the light at a cycle doesn't depend on what was sampled before.
 */
const LAG_PARTS = 32;
const LAG_DELAYS = Array.from({ length: LAG_PARTS }, (_, n) => -Math.log(1 - (n + 0.5) / LAG_PARTS));
