import { QUANTISATION_SD } from './trimmed-level.ts';

/** Two levels that follow each other, each a mean over whole periods of lamp flicker. */
export interface LevelBlock {
  /** Blocks of one number follow each other without a gap. */
  readonly stretch: number;
  /** The how manieth of its stretch. */
  readonly place: number;
  readonly levels: readonly [number, number];
}

interface Point {
  readonly x: number;
  readonly y: number;
}

/** Under this much light a slope is mostly noise. */
const LEAST_SECONDS = 10;
/** Above this correlation of neighbouring residuals the number of independent ones is anyone's guess. */
const LARGEST_CORRELATION = 0.95;

/**
 * Change of the level as a share of `height` per minute: least squares over the block means, one slope for all
 * stretches, each with a level of its own. Standard uncertainty from the residuals, whose correlation (a lamp
 * wanders) is allowed for as in an autoregression of first order: by √((1 + r)/(1 − r)). Null under 10 s.
 * `rounded`: there is too little noise to see less than a code; then that comes on top.
 */
export function drift(
  blocks: readonly LevelBlock[],
  blockSeconds: number,
  height: number,
  rounded: boolean,
): { readonly perMinute: number; readonly uncertainty: number } | null {
  const count = 2 * blocks.length;
  if (count * blockSeconds < LEAST_SECONDS * 0.99) return null;
  const stretches = byStretch(blocks).map(centred);
  let sxx = 0;
  let sxy = 0;
  for (const points of stretches) {
    for (const { x, y } of points) {
      sxx += x * x;
      sxy += x * y;
    }
  }
  const slope = sxy / sxx;
  let squares = 0;
  let neighbours = 0;
  for (const points of stretches) {
    let previous: number | null = null;
    for (const { x, y } of points) {
      const residual = y - slope * x;
      squares += residual * residual;
      if (previous !== null) neighbours += residual * previous;
      previous = residual;
    }
  }
  const freedom = count - stretches.length - 1;
  const correlation = squares > 0 ? Math.min(Math.max(neighbours / squares, 0), LARGEST_CORRELATION) : 0;
  const scatter = Math.sqrt((squares / freedom / sxx) * ((1 + correlation) / (1 - correlation)));
  // Levels that stick to whole codes: the ends of the line are each uncertain by the rounding.
  const longest = Math.max(...stretches.map((points) => points.length));
  const rounding = rounded ? (Math.SQRT2 * QUANTISATION_SD) / longest : 0;
  const perMinute = 60 / blockSeconds / height;
  return { perMinute: slope * perMinute, uncertainty: Math.hypot(scatter, rounding) * perMinute };
}

function byStretch(blocks: readonly LevelBlock[]): readonly (readonly LevelBlock[])[] {
  const groups = new Map<number, LevelBlock[]>();
  for (const block of blocks) {
    const group = groups.get(block.stretch);
    if (group) group.push(block);
    else groups.set(block.stretch, [block]);
  }
  return [...groups.values()];
}

/** Place (in blocks) and level of each, from the means of both. */
function centred(blocks: readonly LevelBlock[]): readonly Point[] {
  const points = blocks.flatMap(({ place, levels: [early, late] }) => [
    { x: 2 * place, y: early },
    { x: 2 * place + 1, y: late },
  ]);
  const x = points.reduce((sum, point) => sum + point.x, 0) / points.length;
  const y = points.reduce((sum, point) => sum + point.y, 0) / points.length;
  return points.map((point) => ({ x: point.x - x, y: point.y - y }));
}
