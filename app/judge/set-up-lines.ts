/** Budget lines that nobody can measure from the light: they rest on what the user states. */
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { type BudgetReading, firingCount, rectangularLine, relativeToStops } from './budget-reading.ts';
import type { Budget, BudgetLine } from './verdict.ts';

export interface StatedLines {
  readonly lines: readonly BudgetLine[];
  /** What is not stated for one firing at least. */
  readonly notStated: Budget['notStated'];
}

/** `readings`: the counted firings of a mark, at least one. */
export function setUpLines(readings: readonly BudgetReading[]): StatedLines {
  const linearity = linearityLine(readings);
  const geometry = geometryLine(readings);
  return {
    lines: [linearity.line, geometry.line].flatMap((line) => line ?? []),
    notStated: [
      ...(geometry.complete ? [] : (['geometry'] as const)),
      ...(linearity.complete ? [] : (['linearity'] as const)),
      ...(readings.some(timedByComparator) ? (['threshold'] as const) : []),
    ],
  };
}

/** Where on the slopes a comparator switches is not known, and its open time is no effective time. */
const timedByComparator = ({ figures }: BudgetReading): boolean =>
  figures.remarks.some(({ code }) => code === 'open time only');

interface Stated {
  readonly line: BudgetLine | null;
  readonly complete: boolean;
}

function linearityLine(readings: readonly BudgetReading[]): Stated {
  const stated = readings.flatMap(({ setUp }) => setUp.linearity ?? []);
  const complete = stated.length === readings.length;
  if (stated.length === 0) return { line: null, complete };
  const limit = Math.max(...stated);
  const origin = `±${Number((100 * limit).toPrecision(3))} % of the time for sensor and amplifier, as the user states${forSome(stated.length, readings.length)}.`;
  return { line: rectangularLine('linearity', relativeToStops(limit), origin), complete };
}

function geometryLine(readings: readonly BudgetReading[]): Stated {
  const bounds = readings.flatMap((reading) => {
    const bound = geometryBound(reading);
    return bound === null ? [] : [bound];
  });
  const complete = bounds.length === readings.length;
  if (bounds.length === 0) return { line: null, complete };
  const least = Math.min(...readings.flatMap(({ setUp }) => setUp.seenShare ?? []));
  // All firings share the geometry, so that its errors don't average out: their sizes are added, not squares.
  const bound = bounds.reduce((sum, one) => sum + one, 0) / bounds.length;
  const what =
    least === 1
      ? 'The whole opening is lit and seen, as the user states: nothing is allowed'
      : `At least ${Number((100 * least).toPrecision(3))} % of the opening's area is lit and seen, as the user states: the time may read long by up to ${bound.toFixed(3)} EV with straight edges`;
  const origin = `${what}${forSome(bounds.length, readings.length)}.`;
  return { line: rectangularLine('geometry', stops(bound), origin), complete };
}

/**
 * Of a reading, the share that can be too much: with straight edges and a full stroke the total time is at
 * most twice the effective one, and no part of the opening reads longer than the total.
 */
const MOST_EXCESS = 0.5;

/**
 * By how much a reading may be too long, in stops, when only the central share c of the opening is lit and
 * seen. With straight edges of duration τ that uncover from the centre, the part seen is fully open while
 * a ≥ c: it reads te + (1 − c)·τ in place of te, and its own edges last c·τ. Its total time is the true one,
 * so that c·τ is total less effective as read, from which te follows.
 *
 * The reading is not corrected, and the error has one sign: spread evenly from 0 to the bound its root mean
 * square is bound / √3, the standard uncertainty that a rectangle of ± the bound gives as well.
 *
 * Null where the share is not stated, or no curve was recorded to take the edges from.
 */
function geometryBound(reading: BudgetReading): Stops | null {
  const share = reading.setUp.seenShare;
  if (share === null) return null;
  if (share === 1) return stops(0);
  const { effective, total } = reading.figures;
  if (effective === null || total === null || !(share > 0)) return null;
  const excess = (Math.max(total - effective, 0) * (1 - share)) / share;
  return stops(-Math.log2(1 - Math.min(excess / effective, MOST_EXCESS)));
}

const forSome = (stated: number, all: number): string =>
  stated === all ? '' : ` (for ${stated} of ${firingCount(all)}; nothing is stated for the others)`;
