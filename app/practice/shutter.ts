/**
 * A leaf shutter to practise on, in numbers of our own invention: main spring, blades, speed ring with
 * cam, and a governor that holds the blades open at the slower marks. Nothing here is a measured camera.
 */
import { type ConditionEffect, effectOf, type ShutterCondition } from './conditions.ts';
import type { Edge, FiringPlan, Glow, Rebound } from './firing-plan.ts';
import { contactClosing, type PracticeSync, withContactOpening } from './flash-contact.ts';
import type { ShutterMark } from './marks.ts';
import type { Random } from './random.ts';

/** The governor's plate reaches its stops here, either way. */
export const GOVERNOR_LIMIT = 8;

const OPENING: Edge = { shape: 'square', duration: 1.4e-3 };
const CLOSING: Edge = { shape: 'square', duration: 1.6e-3 };
const EDGE_AREA = (OPENING.duration + CLOSING.duration) / 3;
/** Fully open at a governed mark if the governor did nothing. */
const BARE_FULLY_OPEN = 2.2e-3;
/** A quarter turn in adds the same to every governed mark, and a share of the governor's time besides. */
const GOVERNOR_SHIFT = 0.45e-3;
const GOVERNOR_SHARE = 0.012;

/** Standard deviations of the natural logarithm from firing to firing. */
const EDGE_SPREAD = 0.01;
const SPRING_SPREAD = 0.012;

/** Rest after which gummed lubricant has set again. */
const REST_SECONDS = 60;

export interface ShutterSettings {
  readonly condition: ShutterCondition;
  /** Quarter turns of the governor from where it was assembled; in (positive) is slower. */
  readonly governorQuarterTurns: number;
  /** Firings of this shutter so far, for conditions that change with use; 0 when left out. */
  readonly firings?: number;
  /** X when left out. */
  readonly sync?: PracticeSync;
}

/**
 * What the shutter will do when released at this mark. At B the time fully open is infinite: see
 * `closedAfter`. `restSeconds`: since the last firing, infinite for the first.
 */
export function planFiring(
  settings: ShutterSettings,
  mark: ShutterMark,
  random: Random,
  restSeconds = Number.POSITIVE_INFINITY,
): FiringPlan {
  const effect = effectOf(settings.condition, mark, {
    rested: restSeconds >= REST_SECONDS,
    firings: settings.firings ?? 0,
  });
  const opening = edge(OPENING, effect, random);
  const closing = edge(CLOSING, effect, random);
  const times = soundTimes(mark, effect.camShift);
  const spring = times.spring * effect.springFactor * random.logNormal(SPRING_SPREAD);
  const governor =
    governorTime(times.governor, settings.governorQuarterTurns) *
    effect.governorFactor *
    random.logNormal(effect.governorSpread);
  const rebound = effect.rebounds ? reboundOf(random) : null;
  const glow = effect.glows ? glowOf(random) : null;

  const trouble = random.uniform();
  const stall = random.uniform();
  let outcome: FiringPlan['outcome'] = 'exposes';
  let fullyOpen = mark.marked === null ? Number.POSITIVE_INFINITY : spring + governor;
  if (trouble < effect.noFireChance) {
    outcome = 'does not fire';
  } else if (trouble < effect.noFireChance + effect.stickChance) {
    outcome = 'sticks open';
    fullyOpen = Number.POSITIVE_INFINITY;
  } else if (trouble < effect.noFireChance + effect.stickChance + effect.stallChance) {
    fullyOpen += 0.5 + 3 * stall;
  }
  const { stroke } = effect;
  const plan: FiringPlan = { outcome, opening, fullyOpen, closing, stroke, rebound, glow, contact: [] };
  const contact = contactClosing(plan, effect.contact, settings.sync ?? 'X', random);
  return { ...plan, contact: withContactOpening(plan, contact) };
}

/** The same firing once it is known how long the blades stood fully open (B let go, a stuck blade freed). */
export function closedAfter(plan: FiringPlan, fullyOpen: number): FiringPlan {
  const closed = { ...plan, fullyOpen: Math.max(0, fullyOpen) };
  return { ...closed, contact: withContactOpening(closed, plan.contact) };
}

/** Blades held open by hand at any mark: as at B, without contact. */
export function planHeldOpen(seconds: number): FiringPlan {
  return {
    outcome: 'exposes',
    opening: OPENING,
    fullyOpen: seconds,
    closing: CLOSING,
    stroke: 1,
    rebound: null,
    glow: null,
    contact: [],
  };
}

/**
 * Time fully open with sound blades and governor, split into what main spring and cam give and what the
 * governor adds. `camShift`: stops by which this mark's cam lies off besides its ordinary offset.
 */
function soundTimes(mark: ShutterMark, camShift: number): { spring: number; governor: number } {
  const fullyOpen = (mark.marked ?? 0) * 2 ** (mark.camOffset + camShift) - EDGE_AREA;
  if (mark.governor === 'none') return { spring: Math.max(0, fullyOpen), governor: 0 };
  return { spring: BARE_FULLY_OPEN, governor: fullyOpen - BARE_FULLY_OPEN };
}

/** Turned out far enough the governor no longer engages at all. */
function governorTime(asAssembled: number, quarterTurns: number): number {
  if (asAssembled === 0) return 0;
  return Math.max(0, asAssembled * (1 + GOVERNOR_SHARE * quarterTurns) + GOVERNOR_SHIFT * quarterTurns);
}

function edge(sound: Edge, effect: ConditionEffect, random: Random): Edge {
  return { ...sound, duration: sound.duration * effect.edgeFactor * random.logNormal(EDGE_SPREAD) };
}

function reboundOf(random: Random): Rebound {
  return {
    delay: 1.2e-3 * random.logNormal(0.1),
    duration: 3e-3 * random.logNormal(0.1),
    height: Math.min(0.3, 0.15 * random.logNormal(0.2)),
  };
}

/** A few percent of the light for about half a second, until the last blade has crept home. */
function glowOf(random: Random): Glow {
  return { height: 0.032 * random.logNormal(0.08), duration: 0.5 * random.logNormal(0.1) };
}
