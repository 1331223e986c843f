/**
 * The line along the lower edge of points that may lie above it, never below: message arrivals that may be
 * late, never early.
 */
export interface EdgePoint {
  /** Seconds. */
  readonly x: number;
  /** Milliseconds. */
  readonly y: number;
}

export interface LowerLine {
  /** Milliseconds per second. */
  readonly slope: number;
  /** Milliseconds, at x = 0. */
  readonly offset: number;
  /** Standard uncertainty of the slope, in milliseconds per second. */
  readonly uncertainty: number;
  /** Standard deviation of the points about the line, in milliseconds. */
  readonly scatter: number;
}

/** Below this a mean and its scatter say too little. */
const LEAST_POINTS = 10;
/** Points that stay in the fit; with fewer there is no edge to speak of. */
const LEAST_SHARE = 0.6;
/** In scaled median deviations: five cut off next to nothing of a sound edge, and all that was held up. */
const CUT = 5;
/** Milliseconds below which no deviation counts: arrivals themselves are no finer. */
const FINEST = 0.02;

/**
 * Fits the lower edge of points that are in themselves the earliest of many (minima of blocks). The start is
 * the edge of their convex hull under the middle, which late points can't pull up; points far above it are
 * left out; through the others goes a line of least squares.
 *
 * Least squares rather than that edge itself, although the edge is the closer of the two on ideal jitter:
 * it rests on two points and says nothing of its uncertainty, while the scatter of the minima does.
 *
 * The uncertainty has three parts, in quadrature:
 * - scatter of the minima, as the standard deviation of Student's t (JCGM 101:2008, 6.4.9.2), enlarged
 *   where neighbours stray together: (1 + r) / (1 − r) with their lag-one correlation r;
 * - `resolution`, in ms: jitter that leaves steps of this size in what it lets through can hide a slope of
 *   one step over the whole span, rectangular;
 * - what the two halves differ in slope beyond their scatter, rectangular: the rate of a clock that drifts
 *   is that of now, at one end of the line.
 *
 * Null when there are too few points or no clear edge.
 */
export function lowerLine(points: readonly EdgePoint[], resolution: number): LowerLine | null {
  if (points.length < LEAST_POINTS) return null;
  const start = edgeUnderTheMiddle(points);
  const above = points.map(({ x, y }) => y - start.offset - start.slope * x);
  const middle = median(above);
  const limit = CUT * 1.4826 * Math.max(FINEST, median(above.map((one) => Math.abs(one - middle))));
  const kept = points.filter((_, i) => above[i]! <= middle + limit);
  if (kept.length < Math.max(LEAST_POINTS, LEAST_SHARE * points.length)) return null;

  const line = leastSquares(kept);
  const span = kept.at(-1)!.x - kept[0]!.x;
  const half = kept.length >> 1;
  const [early, late] = [leastSquares(kept.slice(0, half)), leastSquares(kept.slice(half))];
  const drift = (late.slope - early.slope) ** 2 - early.variance - late.variance;
  const variance = line.variance + ((1.5 * resolution) / span) ** 2 / 3 + Math.max(0, drift) / 3;
  return { ...line, uncertainty: Math.sqrt(variance) };
}

/** The edge of the lower convex hull (monotone chain; A. M. Andrew 1979) under the middle of the points. */
function edgeUnderTheMiddle(points: readonly EdgePoint[]): { slope: number; offset: number } {
  const hull: EdgePoint[] = [];
  for (const point of points) {
    while (hull.length > 1 && slopeOf(hull.at(-2)!, point) <= slopeOf(hull.at(-2)!, hull.at(-1)!)) hull.pop();
    hull.push(point);
  }
  const middle = (points[0]!.x + points.at(-1)!.x) / 2;
  const right = Math.max(
    1,
    hull.findIndex(({ x }) => x >= middle),
  );
  const [a, b] = [hull[right - 1]!, hull[right]!];
  const slope = slopeOf(a, b);
  return { slope, offset: a.y - slope * a.x };
}

const slopeOf = (a: EdgePoint, b: EdgePoint) => (b.y - a.y) / (b.x - a.x);

/** `variance` of the slope as described above. */
function leastSquares(points: readonly EdgePoint[]) {
  const n = points.length;
  const meanX = points.reduce((sum, { x }) => sum + x, 0) / n;
  const meanY = points.reduce((sum, { y }) => sum + y, 0) / n;
  let xx = 0;
  let xy = 0;
  for (const { x, y } of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
  }
  const slope = xy / xx;
  const offset = meanY - slope * meanX;
  const rest = points.map(({ x, y }) => y - offset - slope * x);
  const sum = rest.reduce((total, one) => total + one * one, 0);
  const together = rest.slice(1).reduce((total, one, i) => total + one * rest[i]!, 0);
  const correlation = sum > 0 ? Math.min(0.95, Math.max(0, together / sum)) : 0;
  const dof = n - 2;
  const t = dof / Math.max(1, dof - 2);
  const variance = (t * (sum / dof) * (1 + correlation)) / (1 - correlation) / xx;
  return { slope, offset, scatter: Math.sqrt(sum / dof), variance };
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
