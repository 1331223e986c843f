/** How much more of an adjustment of the governor the readings suggest. */
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { bothTails, combinedVariance, type Variance } from './findings/student-test.ts';
import type { Interval } from './verdict.ts';
import { meanErrorOf, type Segment, type Shot, stateKey } from './work-segments.ts';
import type { WorkStep } from './work-step.ts';

/**
 * When a suggestion is given; own choice, no source. `error`: mean error (stops) that is as good left alone. `reach`: the
 * suggested amount at most as a multiple of the largest difference that was tried, since nothing is known beyond it.
 */
export const SUGGESTION_LIMITS = { significance: 0.05, error: stops(0.1), reach: 3 } as const;

export interface GovernorSuggestion {
  readonly kind: 'suggestion';
  /** Marks it rests on: the governed ones that were fired at each position alike. */
  readonly marks: readonly string[];
  /** Positions of the governor it rests on, the first one included. */
  readonly positions: number;
  readonly unit: string;
  /** Mean effect on these marks of one unit in, with its 95 % interval. */
  readonly perUnit: Stops;
  readonly perUnitInterval: Interval;
  /** Mean error of these marks as the shutter is now. */
  readonly meanError: Stops;
  readonly direction: 'in' | 'out';
  /** In `unit`, above zero, that would bring the mean error to zero; and its 95 % interval. */
  readonly amount: number;
  readonly from: number;
  readonly to: number;
}

/** Why nothing is suggested. */
export type NoSuggestion =
  | 'no amount' // or no direction, for a governor step of the group
  | 'other work' // in the same group
  | 'no readings' // too few governed marks with two firings before and after
  | 'unlike states'
  | 'not significant'
  | 'contrary' // further in made the marks faster
  | 'near enough'
  | 'not known well enough' // the interval doesn't even tell the direction, or has no end
  | 'too far'
  | 'later work'; // the shutter is no longer as it was then

export type GovernorAnswer = GovernorSuggestion | { readonly kind: 'none'; readonly why: NoSuggestion };

const none = (why: NoSuggestion): GovernorAnswer => ({ kind: 'none', why });

/** With fewer marks their mean says nothing of the governor. */
const LEAST_MARKS = 2;

interface Position {
  /** Units in from where the governor stood at first; of one run of adjustments without other work between. */
  readonly at: number;
  readonly shots: readonly Shot[];
}

/**
 * For the last of `segments`; null where its work didn't touch the governor. The governed marks' mean error is
 * taken as a straight line of the governor's position, over the last run of steps of like unit that no other work
 * interrupts; the effect of a unit and the mean error now come from the same firings, and the amount that brings
 * their sum to zero has its interval by Fieller's theorem (J. R. Statist. Soc. B 16 (1954) 175; from memory). Nothing
 * is suggested from an effect that could be none.
 */
export function governorAnswer(
  segments: readonly Segment[],
  { governed, latest }: { readonly governed: readonly string[]; readonly latest: boolean },
): GovernorAnswer | null {
  const last = segments.at(-1)!;
  if (!last.steps.some(({ kind }) => kind === 'governor')) return null;
  if (!latest) return none('later work');
  if (last.steps.some(({ kind }) => kind !== 'governor')) return none('other work');
  const unit = commonUnit(last.steps);
  if (unit === null) return none('no amount');

  const positions = positionsOf(segments, unit);
  const state = commonestState(last.shots.filter(({ mark }) => governed.includes(mark)));
  const lines = governed.flatMap((label) => lineOf(label, positions, state) ?? []);
  if (lines.length < LEAST_MARKS) {
    const anyState = governed.flatMap((label) => lineOf(label, positions, null) ?? []);
    return none(anyState.length < LEAST_MARKS ? 'no readings' : 'unlike states');
  }
  return suggestion(lines, positions, last.steps[0]!.amount!.unit.trim());
}

/** Signed: in is positive. Null unless direction and amount are stated. */
function unitsIn({ direction, amount }: WorkStep): number | null {
  if (direction === null || amount === null || !(amount.value > 0)) return null;
  return direction === 'in' ? amount.value : -amount.value;
}

/** 'Quarter turns' and 'quarter turn' are one unit. */
const unitKey = (unit: string) => unit.trim().toLowerCase().replace(/s$/, '');

/** Null if a step lacks amount or direction, or they differ in unit. */
function commonUnit(steps: readonly WorkStep[]): string | null {
  const units = new Set(steps.map((step) => (unitsIn(step) === null ? null : unitKey(step.amount!.unit))));
  const [unit = null] = units;
  return units.size === 1 ? unit : null;
}

/** The last positions that nothing but the governor lies between, the oldest first. */
function positionsOf(segments: readonly Segment[], unit: string): readonly Position[] {
  const positions: Position[] = [];
  let at = 0;
  for (const { steps, shots } of segments.toReversed()) {
    positions.unshift({ at, shots });
    if (steps.some(({ kind }) => kind !== 'governor') || commonUnit(steps) !== unit) break;
    at -= steps.reduce((sum, step) => sum + unitsIn(step)!, 0);
  }
  return positions;
}

function commonestState(shots: readonly Shot[]): string | null {
  const counts = new Map<string, number>();
  for (const { assembly } of shots) {
    const key = stateKey(assembly);
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  return [...counts].toSorted((a, b) => b[1] - a[1])[0]?.[0] ?? null;
}

/** One mark's mean errors by position, and the weights that make its slope of them. */
interface Line {
  readonly label: string;
  readonly terms: readonly { readonly weight: number; readonly mean: number; readonly of: Variance }[];
  readonly now: { readonly mean: number; readonly of: Variance };
  /** Weight of `now` in the slope. */
  readonly nowWeight: number;
}

/** Least squares over the firings; null unless the mark was fired twice now and twice at another position. `state`: null takes any. */
function lineOf(label: string, positions: readonly Position[], state: string | null): Line | null {
  const means = positions.flatMap(({ at, shots }, index) => {
    const own = shots.filter(
      ({ mark, assembly }) => mark === label && (state === null || stateKey(assembly) === state),
    );
    const mean = meanErrorOf(own);
    return mean?.of
      ? [{ at, n: mean.n, mean: mean.mean, of: mean.of, now: index === positions.length - 1 }]
      : [];
  });
  const now = means.find((mean) => mean.now);
  if (now === undefined) return null;
  const total = means.reduce((sum, { n }) => sum + n, 0);
  const centre = means.reduce((sum, { n, at }) => sum + n * at, 0) / total;
  const squares = means.reduce((sum, { n, at }) => sum + n * (at - centre) ** 2, 0);
  if (!(squares > 1e-12)) return null;
  const weight = ({ n, at }: { n: number; at: number }) => (n * (at - centre)) / squares;
  return {
    label,
    terms: means.map((mean) => ({ weight: weight(mean), mean: mean.mean, of: mean.of })),
    now,
    nowWeight: weight(now),
  };
}

function suggestion(lines: readonly Line[], positions: readonly Position[], unit: string): GovernorAnswer {
  const count = lines.length;
  const slopeTerms = lines.flatMap(({ terms }) =>
    terms.map((term) => ({ ...term, weight: term.weight / count })),
  );
  const slope = slopeTerms.reduce((sum, { weight, mean }) => sum + weight * mean, 0);
  const ofSlope = combinedVariance(slopeTerms.map(({ weight, of }) => ({ weight, ...of })));
  const error = lines.reduce((sum, { now }) => sum + now.mean, 0) / count;
  const ofError = combinedVariance(lines.map(({ now }) => ({ weight: 1 / count, ...now.of })));
  const shared = lines.reduce(
    (sum, { now, nowWeight }) => sum + (nowWeight * now.of.variance) / count ** 2,
    0,
  );

  if (bothTails(slope, ofSlope) > SUGGESTION_LIMITS.significance) return none('not significant');
  if (slope < 0) return none('contrary');
  if (Math.abs(error) < SUGGESTION_LIMITS.error) return none('near enough');
  const t = studentQuantile(0.975, Math.min(ofSlope.dof, ofError.dof, AS_GOOD_AS_NORMAL));
  const ends = fieller({ error, slope }, { error: ofError.variance, slope: ofSlope.variance, shared }, t);
  if (ends === null || ends.lower * ends.upper <= 0) return none('not known well enough');
  const more = -error / slope;
  const tried = positions.map(({ at }) => at);
  const reach = SUGGESTION_LIMITS.reach * (Math.max(...tried) - Math.min(...tried));
  if (Math.abs(more) > reach) return none('too far');
  const half = t * Math.sqrt(ofSlope.variance);
  return {
    kind: 'suggestion',
    marks: lines.map(({ label }) => label),
    positions: new Set(tried).size,
    unit,
    perUnit: stops(slope),
    perUnitInterval: { lower: stops(slope - half), upper: stops(slope + half) },
    meanError: stops(error),
    direction: more > 0 ? 'in' : 'out',
    amount: Math.abs(more),
    from: Math.min(Math.abs(ends.lower), Math.abs(ends.upper)),
    to: Math.max(Math.abs(ends.lower), Math.abs(ends.upper)),
  };
}

/** Student's quantile changes no more in any digit that matters. */
const AS_GOOD_AS_NORMAL = 1e7;

/**
 * All amounts for which error + slope · amount could be zero: (e + s·x)² ≤ t²·(Vₑ + 2·x·C + x²·Vₛ). Null where they
 * have no end, which is so when the slope could be zero.
 */
function fieller(
  { error, slope }: { error: number; slope: number },
  of: { error: number; slope: number; shared: number },
  t: number,
): { readonly lower: number; readonly upper: number } | null {
  const square = slope ** 2 - t ** 2 * of.slope;
  if (!(square > 0)) return null;
  const half = error * slope - t ** 2 * of.shared;
  const rest = error ** 2 - t ** 2 * of.error;
  const root = Math.sqrt(Math.max(0, half ** 2 - square * rest));
  return { lower: (-half - root) / square, upper: (-half + root) / square };
}
