/**
 * One firing of the simulated shutter as exact geometry: how far the blades uncover the opening at any
 * time, and the figures that follow from it without sampling. Times are in seconds from first light.
 */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';

/** The uncovered area grows evenly with time, or with its square; a closing edge mirrors it. */
export type EdgeShape = 'straight' | 'square';

export interface Edge {
  readonly shape: EdgeShape;
  /** From no light to full light, or back. */
  readonly duration: number;
}

/** Blades that spring open again a little: a parabola of light after closing. */
export interface Rebound {
  /** From the end of closing to the light's return. */
  readonly delay: number;
  readonly duration: number;
  /** Largest open fraction. */
  readonly height: number;
}

/** A blade that does not shut at once: light that stays on after closing, rebound or not. */
export interface Glow {
  /** Open fraction. */
  readonly height: number;
  /** From the end of closing. */
  readonly duration: number;
}

export interface ContactChange {
  readonly at: number;
  readonly closed: boolean;
}

export type FiringOutcome = 'exposes' | 'does not fire' | 'sticks open';

export interface FiringPlan {
  readonly outcome: FiringOutcome;
  readonly opening: Edge;
  /** Time fully open; infinite as long as nobody knows when the blades will close. */
  readonly fullyOpen: number;
  readonly closing: Edge;
  /** Largest open fraction of the exposure, above 0 to 1; sound blades make their full stroke at every mark. */
  readonly stroke: number;
  readonly rebound: Rebound | null;
  readonly glow: Glow | null;
  /** Changes of the flash contact, in order, as far as they are known. */
  readonly contact: readonly ContactChange[];
}

/** Open fraction of the full opening, 0 to 1, `t` seconds after first light. */
export function openFraction(plan: FiringPlan, t: number): number {
  if (plan.outcome === 'does not fire' || t <= 0) return 0;
  const { opening, fullyOpen, closing, stroke } = plan;
  if (t < opening.duration) return stroke * edgeFraction(opening.shape, t / opening.duration);
  const sinceClosing = t - opening.duration - fullyOpen;
  if (sinceClosing <= 0) return stroke;
  if (sinceClosing < closing.duration) {
    return stroke * edgeFraction(closing.shape, 1 - sinceClosing / closing.duration);
  }
  return afterClosing(plan, sinceClosing - closing.duration);
}

/** `t`: seconds from the end of closing. Where there are both, the rebound stands above the glow. */
function afterClosing({ rebound, glow }: FiringPlan, t: number): number {
  const left = glow !== null && t < glow.duration ? glow.height : 0;
  if (rebound === null) return left;
  const x = (t - rebound.delay) / rebound.duration;
  return x > 0 && x < 1 ? Math.max(left, 4 * rebound.height * x * (1 - x)) : left;
}

/** Light admitted over full-open light, light after closing left out: the area under `openFraction` up to closing. */
export function effectiveTime({ outcome, opening, fullyOpen, closing, stroke }: FiringPlan): Seconds {
  if (outcome === 'does not fire') return seconds(0);
  return seconds(stroke * (edgeArea(opening) + fullyOpen + edgeArea(closing)));
}

/** What the rebound adds to the effective time. */
export function reboundTime({ outcome, rebound }: FiringPlan): Seconds {
  if (outcome === 'does not fire' || rebound === null) return seconds(0);
  return seconds((2 / 3) * rebound.height * rebound.duration);
}

/** Time during which more than this fraction of the opening is uncovered, light after closing left out. */
export function timeAbove(
  { outcome, opening, fullyOpen, closing, stroke }: FiringPlan,
  fraction: number,
): Seconds {
  if (outcome === 'does not fire' || fraction >= stroke) return seconds(0);
  const cutOff = edgeInstant(opening, fraction / stroke) + edgeInstant(closing, fraction / stroke);
  return seconds(opening.duration + fullyOpen + closing.duration - cutOff);
}

export const halfHeightTime = (plan: FiringPlan): Seconds => timeAbove(plan, 0.5);

/** First light to last light, at no threshold; light after closing left out. */
export const totalOpenTime = (plan: FiringPlan): Seconds => timeAbove(plan, 0);

/** How long after its beginning a full opening edge reaches this fraction of its height. */
export function edgeInstant({ shape, duration }: Edge, fraction: number): number {
  return duration * (shape === 'straight' ? fraction : Math.sqrt(fraction));
}

/** When the last of the light is gone, rebound and glow included. */
export function lastLight(plan: FiringPlan): number {
  if (plan.outcome === 'does not fire') return 0;
  const { opening, fullyOpen, closing, rebound, glow } = plan;
  const rebounds = rebound === null ? 0 : rebound.delay + rebound.duration;
  return opening.duration + fullyOpen + closing.duration + Math.max(rebounds, glow?.duration ?? 0);
}

const edgeFraction = (shape: EdgeShape, x: number) => (shape === 'straight' ? x : x * x);

/** Area under an edge: a triangle, or a third for a square. */
const edgeArea = ({ shape, duration }: Edge) => duration * (shape === 'straight' ? 1 / 2 : 1 / 3);
