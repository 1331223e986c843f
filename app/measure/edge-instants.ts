/** Instants on the two edges of an exposure. Positions in samples. */
import type { LightCurve } from './light-curve.ts';
import { quadraticCrossing } from './local-quadratic.ts';
import type { ExposureSpan } from './locate-exposure.ts';

/** One edge, looked at from the middle of the edge outward to the dark and inward to the open part. */
export interface Edge {
  readonly curve: LightCurve;
  /** A sample on the edge or just inside it, at or above half of the peak. */
  readonly start: number;
  /** −1 for the opening edge (the dark lies before it), +1 for the closing edge. */
  readonly outward: -1 | 1;
  /** The search outward goes no further than this sample … */
  readonly outer: number;
  /** … and inward no further than this one, which lies on the other edge. */
  readonly inner: number;
  /** Samples in the running mean that a crossing is sought in; odd. */
  readonly width: number;
}

const MAX_WIDTH = 5;
/** A running mean over more than this share of the edge would round its corners. */
const WIDTH_SHARE = 1 / 8;
/**
 * Reach of the half-height fit to each side, as a share of the edge. About a quarter; a little more costs
 * no bias on straight and t² edges (whose 10 to 90 % duration is 0.8 and 0.63 of the whole) and takes a
 * tenth off the scatter.
 */
const HALF_REACH = 0.33;
/** Reach of the fits at 10 and 90 %, which lie near the edge's corners. */
const TENTH_REACH = 0.06;

export function openingEdge(curve: LightCurve, span: ExposureSpan): Edge {
  return { curve, start: span.up, outward: -1, outer: 0, inner: span.down, width: 1 };
}

export function closingEdge(curve: LightCurve, span: ExposureSpan): Edge {
  return { curve, start: span.down, outward: 1, outer: curve.length - 1, inner: span.up, width: 1 };
}

/** The crossings of the two levels at 10 and 90 % give the edge's size, and with it how much may be averaged. */
export function fitWidth(edge: Edge, dark: number, height: number): Edge {
  const inner = crossing(edge, dark + 0.9 * height) ?? edge.inner;
  const outer = crossing(edge, dark + 0.1 * height) ?? edge.outer;
  const share = Math.floor((Math.abs(outer - inner) / 0.8) * WIDTH_SHARE);
  const odd = share % 2 === 0 ? share - 1 : share;
  return { ...edge, width: Math.max(1, Math.min(MAX_WIDTH, odd)) };
}

/**
 * Where the running mean first passes `level` on the way from the edge's start: outward if the light at
 * the start is above it, else inward. Straight between samples. Null when it doesn't pass.
 */
export function crossing(edge: Edge, level: number): number | null {
  const { curve, start, outward, width } = edge;
  const above = curve.smoothed(start, width) >= level;
  const step = above ? outward : -outward;
  const end = above ? edge.outer : edge.inner;
  let previous = curve.smoothed(start, width);
  for (let i = start; i !== end; ) {
    i += step;
    const value = curve.smoothed(i, width);
    if (value >= level !== above) {
      const share = (previous - level) / (previous - value);
      return i - step + share * step;
    }
    previous = value;
  }
  return null;
}

/**
 * Where the light has gone: the crossing of `level` outward, or, when the light falls under `bounceBelow`
 * and then rises again by `rise` codes before it has reached `level`, the lowest point in between (blades
 * that bounce before they are shut).
 */
export function lightGone(
  edge: Edge,
  level: number,
  bounceBelow: number,
  rise: number,
): { readonly at: number; readonly bounced: boolean } | null {
  const { curve, outward, width } = edge;
  const plain = crossing(edge, level);
  const end = plain === null ? edge.outer : Math.round(plain);
  let lowest = Number.POSITIVE_INFINITY;
  let lowestAt = edge.start;
  for (let i = edge.start; i !== end; i += outward) {
    const value = curve.smoothed(i, width);
    if (value < lowest) {
      lowest = value;
      lowestAt = i;
    } else if (value > lowest + rise && lowest < bounceBelow) {
      return { at: lowestAt, bounced: true };
    }
  }
  return plain === null ? null : { at: plain, bounced: false };
}

/** Position of half light by the local parabola; `tenToNinety` in samples. */
export function halfHeight(edge: Edge, level: number, tenToNinety: number): number | null {
  const near = crossing(edge, level);
  if (near === null) return null;
  return quadraticCrossing(edge.curve, near, (HALF_REACH / 0.8) * tenToNinety, level) ?? near;
}

/** Position of 10 or 90 % light, likewise; falls back to the crossing of the running mean on short edges. */
export function tenthHeight(edge: Edge, level: number, tenToNinety: number): number | null {
  const near = crossing(edge, level);
  if (near === null) return null;
  return quadraticCrossing(edge.curve, near, (TENTH_REACH / 0.8) * tenToNinety, level) ?? near;
}
