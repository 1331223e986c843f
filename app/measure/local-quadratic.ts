import type { LightCurve } from './light-curve.ts';

/**
 * Position at which the light passes `level`, from a parabola fitted by least squares to the samples
 * within ± `reach` samples of `near`. A parabola follows both a straight edge and one whose open area
 * grows as the square of time without bias. Null when fewer than five samples lie in reach or the
 * parabola does not pass the level near there.
 */
export function quadraticCrossing(
  curve: LightCurve,
  near: number,
  reach: number,
  level: number,
): number | null {
  let centre = near;
  for (let round = 0; round < 3; round++) {
    const shift = shiftToLevel(curve, centre, reach, level);
    if (shift === null) return null;
    centre += shift;
    if (Math.abs(shift) < 1e-6) break;
  }
  return Math.abs(centre - near) <= reach ? centre : null;
}

function shiftToLevel(curve: LightCurve, centre: number, reach: number, level: number): number | null {
  const from = Math.max(Math.ceil(centre - reach), 0);
  const to = Math.min(Math.floor(centre + reach), curve.length - 1);
  const n = to - from + 1;
  if (n < 5) return null;
  const { values } = curve;
  // Offsets from the middle of the samples used: odd sums vanish and the normal equations fall apart.
  const middle = (from + to) / 2;
  let v0 = 0;
  let v1 = 0;
  let v2 = 0;
  let s2 = 0;
  let s4 = 0;
  for (let i = from; i <= to; i++) {
    const x = i - middle;
    const xx = x * x;
    const v = values[i]! - level;
    v0 += v;
    v1 += v * x;
    v2 += v * xx;
    s2 += xx;
    s4 += xx * xx;
  }
  const c1 = v1 / s2;
  const c2 = (n * v2 - s2 * v0) / (n * s4 - s2 * s2);
  const c0 = (v0 - c2 * s2) / n;
  const discriminant = c1 * c1 - 4 * c2 * c0;
  if (c1 === 0 || discriminant < 0) return null;
  // The root that belongs to the edge, in the form that stays exact when c2 is next to nothing.
  const x = (-2 * c0) / (c1 + Math.sign(c1) * Math.sqrt(discriminant));
  return middle + x - centre;
}
