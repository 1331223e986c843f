import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { Figures } from '../measure/figures.ts';
import { whyNotCounted } from './counted-readings.ts';
import type { IrisCheckResult } from './iris-check-result.ts';
import { addValue, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import type { Interval } from './verdict.ts';

/** What the check needs of a firing: its figures, measured against an open level of its own iris setting. */
export interface IrisReading {
  readonly figures: Pick<Figures, 'effective' | 'total' | 'remarks' | 'stoppedDown' | 'levels'>;
}

/** Of readings that count, so many are needed on either side for an interval. */
const LEAST_READINGS = 2;
/** One stop is a half; iris rings are a quarter of a stop off at most (common practice, no source). */
const LEAST_LIGHT = 0.4;
const MOST_LIGHT = 0.6;
/** Openings bounded by blades are no circles: the time gets less long than from the curve by up to 0.05 stops. */
const BLADES = 0.05;
/** Where the time should get longer by less than this, in stops, blades and scatter hide whether it does. */
const LEAST_EXPECTED = 2 * BLADES;

/**
 * Wide open against one stop down at one mark, a fast one. `open` and `stopped` are firings with the iris wide open
 * and one stop down.
 *
 * What it can tell. Suppose that light and sensor use the opening unevenly: let W(x) be the share of the light that
 * comes through the central share x of its area. Blades that uncover from the centre give the curve b(t) = W(a(t));
 * with the iris at x it is min(b, s)/s, where s = W(x) is the light that is left of the light wide open. So:
 * - the time one stop down follows from the curve wide open and s, whatever W is. That it does says that the light
 *   fell because the iris closed, that blades and iris work about the same centre, and that neither lamp nor
 *   level moved in between; nothing of evenness;
 * - evenness shows in s itself: one stop leaves 1/2 if the whole opening is used evenly; if only the central
 *   share c is used, it leaves 1/(2c), and all of it from c = 1/2 down. The time then gets less long than `expected`
 *   from the curve: for straight edges by the share 2 − 1/c of it, by nothing from c = 1/2 down.
 * An iris that closed by less than a stop does exactly the same. It is told apart by the person who set it, and
 * not by this: 'part of the opening used' holds if the iris was closed by one stop. As irises are good to about a
 * quarter of a stop, shares above 5/6 pass: they make the time at a mark of 1/500 s, edges of 2 ms, up to 0.22 EV
 * too long. And a used part that is even about another point than the centre, or light that comes past the opening,
 * does not show. At marks where the time should get longer by less than 0.1 EV nothing is decided.
 *
 * @throws RangeError when fewer than two readings on either side count and have levels and curve.
 */
export function irisCheck(
  mark: string,
  open: readonly IrisReading[],
  stopped: readonly IrisReading[],
): IrisCheckResult {
  const wide = open.filter(counts).flatMap(({ figures }) => curveOf(figures));
  const narrow = stopped.filter(counts).flatMap(({ figures }) => timeOf(figures));
  if (wide.length < LEAST_READINGS || narrow.length < LEAST_READINGS) {
    throw new RangeError('The iris check needs two good readings wide open and two one stop down.');
  }
  const expected = stops(meanOf(wide.map(({ one }) => one)));
  const lightShare = meanOf(narrow.map(({ height }) => height)) / meanOf(wide.map(({ height }) => height));
  const fromLight = meanOf(wide.map((curve) => longerAt(curve, lightShare)));
  const { found, interval } = difference(
    narrow.map(({ log }) => log),
    wide.map(({ log }) => log),
  );
  return {
    mark,
    firingsOpen: wide.length,
    firingsStopped: narrow.length,
    expected,
    found,
    interval,
    lightShare,
    outcome: outcomeOf(lightShare, expected, fromLight, interval),
  };
}

function outcomeOf(
  lightShare: number,
  expected: number,
  fromLight: number,
  interval: Interval,
): IrisCheckResult['outcome'] {
  if (lightShare < LEAST_LIGHT) return 'not one stop';
  const timeAgrees = interval.lower - BLADES <= fromLight && fromLight <= interval.upper + BLADES;
  if (!timeAgrees || expected < LEAST_EXPECTED) return 'cannot be decided';
  if (lightShare > MOST_LIGHT)
    return interval.upper < expected ? 'part of the opening used' : 'cannot be decided';
  return interval.lower > expected / 2 ? 'whole opening used' : 'cannot be decided';
}

const counts = ({ figures }: IrisReading): boolean =>
  whyNotCounted({ figures, firing: { spoilt: null }, setAside: null, rest: null, exercised: false }) === null;

interface Curve {
  /** log2 of the time in seconds. */
  readonly log: number;
  readonly height: number;
  /** How much longer the time would get with half and with a quarter of the light, in stops. */
  readonly one: number;
  readonly two: number;
}

function curveOf(figures: IrisReading['figures']): Curve[] {
  const { effective, stoppedDown } = figures;
  const [one, two] = stoppedDown ?? [];
  return effective === null || one === undefined || two === undefined
    ? []
    : timeOf(figures).map((time) => ({
        ...time,
        one: Math.log2(one / effective),
        two: Math.log2(two / effective),
      }));
}

const timeOf = ({ effective, levels }: IrisReading['figures']) =>
  effective === null || levels === null
    ? []
    : [{ log: Math.log2(effective), height: levels.open - levels.dark }];

/** How much longer the time gets when `share` of the light is left: between the stops straight in the share. */
function longerAt({ one, two }: Curve, share: number): number {
  if (share >= 1) return 0;
  return share >= 0.5 ? one * (2 - 2 * share) : two + (one - two) * Math.max(0, 4 * share - 1);
}

/** Mean of `a` less mean of `b`, with its 95 % interval for unequal spreads (Welch 1947, Satterthwaite's freedom). */
function difference(a: readonly number[], b: readonly number[]): { found: Stops; interval: Interval } {
  const [first, second] = [a, b].map((values) => {
    const moments = values.reduce(addValue, NO_MOMENTS);
    return { n: moments.n, mean: moments.mean, square: standardDeviation(moments)! ** 2 / moments.n };
  }) as [Mean, Mean];
  const found = first.mean - second.mean;
  const square = first.square + second.square;
  const freedom = square ** 2 / (first.square ** 2 / (first.n - 1) + second.square ** 2 / (second.n - 1));
  const half = square === 0 ? 0 : studentQuantile(0.975, freedom) * Math.sqrt(square);
  return { found: stops(found), interval: { lower: stops(found - half), upper: stops(found + half) } };
}

interface Mean {
  readonly n: number;
  readonly mean: number;
  /** Squared standard error. */
  readonly square: number;
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
