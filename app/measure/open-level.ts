/** Which level stands for "fully open": the firing's own plateau, the reference, both, or the highest light. */
import type { Levels, ReferenceLevel, Remark } from './figures.ts';
import { type DarkLevel, isFullyOpen, type Plateau } from './levels.ts';
import type { LightCurve } from './light-curve.ts';
import type { ExposureSpan } from './locate-exposure.ts';

/**
 * How far the light may have drifted since the reference was taken, as a share of the level for each minute,
 * one standard uncertainty. Common practice without a source: a lamp that has warmed up does better, one
 * that has just been lit may not.
 */
export const LAMP_DRIFT_PER_MINUTE = 0.001;

/** A reference as it is worth now. Codes. */
export interface HeldReference {
  readonly height: number;
  /** Standard uncertainty of the height when it was taken. */
  readonly uncertainty: number;
  /** Allowance for what the light has done since. */
  readonly drift: number;
}

/** `age` in seconds. */
export function heldReference({ height, uncertainty }: ReferenceLevel, age: number): HeldReference {
  return { height, uncertainty, drift: LAMP_DRIFT_PER_MINUTE * height * (Math.abs(age) / 60) };
}

/** Standard uncertainty of a reference now, in codes. */
export const presentUncertainty = ({ uncertainty, drift }: HeldReference): number =>
  Math.hypot(uncertainty, drift);

const LOW_PEAK = 0.95;
const LOW_PLATEAU = 0.98;
const LIGHT_CHANGED = 0.01;
/** Plateau and reference further apart than this many standard uncertainties are not one level. */
const AGREEMENT = 3;
/** With less weight than this the reference takes less than two hundredths off the scatter: left out. */
const LEAST_REFERENCE_WEIGHT = 0.05;

/** Lengths that the weight of the plateau depends on, all in samples. */
export interface ExposureLengths {
  readonly plateau: number;
  /** Effective time. */
  readonly effective: number;
  /** Over which the light is integrated. */
  readonly window: number;
}

/** Standard uncertainties, in codes. */
export interface LevelUncertainties {
  readonly plateau: number;
  readonly reference: number;
  readonly dark: number;
}

/**
 * Weight of the firing's own plateau p, against that of the reference height r, at which the effective time
 * scatters least. With P − D = w·(p − D) + (1 − w)·r the time is I/(P − D), and, H being the open level,
 *
 *   H²·var(te) = (Lp − te·w)²·u_p² + te²·(1 − w)²·u_r² + (W − te·w)²·u_D² + edges:
 *
 * an error of p is an error of the integral I too, over the Lp samples of the plateau, and one of the dark D
 * is in it over the whole window W. The derivative by w vanishes at
 *
 *   w = (Lp·u_p² + te·u_r² + W·u_D²) / (te·(u_p² + u_r² + u_D²)).
 *
 * Even a perfect reference leaves Lp/te to the plateau, whose noise then cancels from the time.
 */
export function plateauWeight(length: ExposureLengths, u: LevelUncertainties): number {
  const p = u.plateau ** 2;
  const r = u.reference ** 2;
  const d = u.dark ** 2;
  const weight =
    (length.plateau * p + length.effective * r + length.window * d) / (length.effective * (p + r + d));
  return Math.min(Math.max(weight, 0), 1);
}

/** The levels of an exposure, and what is to be said of them. */
export function openLevel(
  curve: LightCurve,
  span: ExposureSpan,
  dark: DarkLevel,
  plateau: Plateau | null,
  reference: HeldReference | null,
  secondsPerSample: number,
): { readonly levels: Levels; readonly remarks: readonly Remark[] } {
  const darkUncertainty = dark.noise / Math.sqrt(Math.max(dark.samples, 1));
  const common = { dark: dark.mean, noise: dark.noise, darkSamples: dark.samples };
  if (plateau !== null && isFullyOpen(plateau, dark.mean, reference?.height ?? null, secondsPerSample)) {
    const own = plateau.level - dark.mean;
    const ownUncertainty = Math.hypot(plateau.uncertainty, darkUncertainty);
    const alone = {
      ...common,
      open: plateau.level,
      openOrigin: 'plateau',
      openUncertainty: ownUncertainty,
    } as const;
    if (reference === null) return { levels: alone, remarks: [] };
    const change = own / reference.height - 1;
    const doubt = (2 * Math.hypot(plateau.uncertainty, reference.uncertainty)) / reference.height;
    if (Math.abs(change) > LIGHT_CHANGED + doubt) {
      return { levels: alone, remarks: [{ code: 'light changed', value: change }] };
    }
    const referenceUncertainty = presentUncertainty(reference);
    const agreed = AGREEMENT * Math.hypot(ownUncertainty, referenceUncertainty);
    const weight = plateauWeight(
      {
        plateau: plateau.to - plateau.from,
        effective: curve.integral(span.from, span.to, dark.mean) / own,
        window: span.to - span.from,
      },
      { plateau: plateau.uncertainty, reference: referenceUncertainty, dark: darkUncertainty },
    );
    if (Math.abs(own - reference.height) > agreed || 1 - weight < LEAST_REFERENCE_WEIGHT) {
      return { levels: alone, remarks: [] };
    }
    const levels = {
      ...common,
      open: dark.mean + weight * own + (1 - weight) * reference.height,
      openOrigin: 'plateau and reference',
      openUncertainty: Math.hypot(weight * ownUncertainty, (1 - weight) * referenceUncertainty),
    } as const;
    return { levels, remarks: [] };
  }
  if (reference !== null) {
    const remarks: Remark[] = [{ code: 'reference level used', value: reference.height }];
    const reached = (plateau === null ? span.dark + span.peak : plateau.level) - dark.mean;
    const share = reached / reference.height;
    if (share < (plateau === null ? LOW_PEAK : LOW_PLATEAU)) remarks.push({ code: 'low peak', value: share });
    // The peak is the highest of many means of five samples: noise alone lifts it by three or four of theirs.
    const lift = plateau === null ? (4 * dark.noise) / Math.sqrt(5) / reference.height : 0;
    if (share > 1 + 2 * LIGHT_CHANGED + lift) remarks.push({ code: 'light changed', value: share - 1 });
    const levels = {
      ...common,
      open: dark.mean + reference.height,
      openOrigin: 'reference',
      openUncertainty: presentUncertainty(reference),
    } as const;
    return { levels, remarks };
  }
  // The peak is a mean of five samples, the highest of many.
  const openUncertainty = Math.hypot(dark.noise, darkUncertainty);
  return {
    levels: { ...common, open: span.dark + span.peak, openOrigin: 'peak', openUncertainty },
    remarks: [{ code: 'no open level', value: span.peak }],
  };
}
