/** Budget lines of the light levels a time is read between. */
import type { ReferenceLevel } from '../measure/figures.ts';
import {
  type HeldReference,
  heldReference,
  LAMP_DRIFT_PER_MINUTE,
  presentUncertainty,
} from '../measure/open-level.ts';
import {
  type BudgetReading,
  firingCount,
  normalLine,
  rectangularLine,
  relativeToStops,
} from './budget-reading.ts';
import type { BudgetLine } from './verdict.ts';

/** Noise of half a step or more carries a level over the converter's steps; less leaves it where it is (rule of thumb). */
const DITHERING_NOISE = 0.5;
/** The integral's window reaches a quarter of each edge further out than first and last light. */
const WINDOW_OF_EDGES = 1.25;

/** `readings`: the counted firings of a mark. No line where the error is in the scatter already, or is none. */
export function levelLines(readings: readonly BudgetReading[]): readonly BudgetLine[] {
  return [...openLevelLines(readings), ...truncationLine(readings)];
}

interface Use {
  readonly reference: ReferenceLevel;
  /** How much of the firing's open level is the reference, 0 to 1. */
  readonly weight: number;
  /** Minutes from the reference to the firing. */
  readonly age: number;
  /** What the light may have done in this time, one standard uncertainty as a share of the level. */
  readonly drift: number;
}

/**
 * A firing's own plateau scatters from firing to firing, and the scatter of the times holds it. A reference
 * is shared by the firings that used it and is not averaged out by them: within one reference errors add,
 * between references their squares. The drift of the lamp is one for all of them and adds throughout.
 */
function openLevelLines(readings: readonly BudgetReading[]): readonly BudgetLine[] {
  const uses = readings.flatMap(useOfReference);
  if (uses.length === 0) return [];

  const byReference = new Map<string, number>();
  for (const { reference, weight } of uses) {
    const key = `${reference.firstTick} ${reference.height}`;
    const error = (weight * reference.uncertainty) / reference.height;
    byReference.set(key, (byReference.get(key) ?? 0) + error);
  }
  const level = Math.hypot(...byReference.values()) / readings.length;
  const drift = uses.reduce((sum, use) => sum + use.weight * use.drift, 0) / readings.length;
  const oldest = uses.reduce((most, { age }) => Math.max(most, age), 0);
  const shared = `${uses.length} of ${firingCount(readings.length)} were read against a reference level`;
  return [
    normalLine(
      'open level',
      relativeToStops(level),
      byReference.size === 1
        ? `${shared}, whose standard uncertainty they share.`
        : `${shared}, ${byReference.size} of them in all, whose standard uncertainties they share.`,
    ),
    normalLine(
      'lamp drift',
      relativeToStops(drift),
      `${100 * LAMP_DRIFT_PER_MINUTE} % of the light for each minute since the reference level was taken, ${oldest.toFixed(1)} minutes before at the most (common practice, no source).`,
    ),
  ];
}

function useOfReference({ reference, figures: { levels }, firing }: BudgetReading): readonly Use[] {
  if (reference === null || levels === null) return [];
  if (levels.openOrigin !== 'reference' && levels.openOrigin !== 'plateau and reference') return [];
  const seconds = Math.abs(firing.firstTick - reference.firstTick) / firing.tickHz;
  const held = heldReference(reference, seconds);
  return [
    {
      reference,
      weight: levels.openOrigin === 'reference' ? 1 : weightInPool(levels.openUncertainty, held),
      age: seconds / 60,
      drift: held.drift / held.height,
    },
  ];
}

/**
 * At most this much of a level pooled from plateau and reference is the reference. Pooled by variances its
 * weight is the pooled variance over its own, and where the weights are others the pooled variance is larger.
 */
function weightInPool(pooled: number, held: HeldReference): number {
  const own = presentUncertainty(held);
  return own > pooled ? (pooled / own) ** 2 : 1;
}

/**
 * The converter floors. Noise of at least half a step dithers this away; without it dark and open level
 * stand still at an unknown place within their step, d and p (0 to 1 above the code), while a ramp is read
 * half a step low on average. With q the mean open fraction of the ramps, which last T together, the time
 * is then off by T / (open − dark) · ((1 − q)·d + q·p − 1/2): within ±1/2 step of the ramps whatever q.
 * The levels stand still from firing to firing, so that the firings share it.
 */
function truncationLine(readings: readonly BudgetReading[]): readonly BudgetLine[] {
  const undithered = readings.filter(
    ({ figures: { levels } }) => levels !== null && levels.noise < DITHERING_NOISE,
  );
  if (undithered.length === 0) return [];
  const bound = undithered.reduce((sum, reading) => sum + truncationBound(reading), 0) / readings.length;
  return [
    rectangularLine(
      'truncation',
      relativeToStops(bound),
      `The converter floors, and the dark of ${undithered.length} of ${firingCount(readings.length)} has too little noise (under ${DITHERING_NOISE} step) to even that out: up to half a step of light while the blades moved.`,
    ),
  ];
}

/** Bound of the error as a share of the time. */
function truncationBound(reading: BudgetReading): number {
  const { levels, effective } = reading.figures;
  if (levels === null || effective === null || !(levels.open > levels.dark)) return 0;
  const ramps = WINDOW_OF_EDGES * rampTime(reading, effective);
  return (0.5 / (levels.open - levels.dark)) * (ramps / effective);
}

/** Both edges together, in seconds: from first light to fully open and back. */
function rampTime(reading: BudgetReading, effective: number): number {
  const { instants, total } = reading.figures;
  if (instants === null) return total ?? effective;
  const { firstLight, fullOpen, closingStart, lastLight } = instants;
  return fullOpen - firstLight + (lastLight - closingStart);
}
