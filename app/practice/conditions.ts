/** What may ail the practice shutter, and what it does to a firing. Figures are our own invention. */
import type { ContactState } from './flash-contact.ts';
import type { ShutterMark } from './marks.ts';

export const SHUTTER_CONDITIONS = [
  'serviced',
  'gummed',
  'weak main spring',
  'rebound',
  'flash contact late',
  'contact dead',
  'escapement worn',
  'pallet dirty',
  'governor bypassed',
  'blade drag',
  'blades not fully open',
  'blade not closed',
  'cam step worn',
  'booster not engaged',
  'marks out of order',
  'all slow',
  'warming',
  'mounting strain',
  'B hangs',
  'contact bounces',
  'self-timer hesitates',
] as const;
export type ShutterCondition = (typeof SHUTTER_CONDITIONS)[number];

export interface ConditionEffect {
  /** On the durations of opening and closing. */
  readonly edgeFactor: number;
  /** On what main spring and cam give of the time fully open. */
  readonly springFactor: number;
  readonly governorFactor: number;
  /** Added to the mark's own cam offset, in stops; positive is slow. */
  readonly camShift: number;
  /** Standard deviation of the logarithm of the governor's time. */
  readonly governorSpread: number;
  readonly noFireChance: number;
  readonly stickChance: number;
  /** Chance that the governor halts for some seconds and then runs on. */
  readonly stallChance: number;
  /** How much of the opening the blades uncover at most, above 0 to 1. */
  readonly stroke: number;
  readonly rebounds: boolean;
  /** A blade stays a little open after closing. */
  readonly glows: boolean;
  readonly contact: ContactState;
}

/** What a firing comes upon. */
export interface Circumstances {
  /** The shutter has rested so long that gummed lubricant has set again. */
  readonly rested: boolean;
  /** Firings of this shutter before it. */
  readonly firings: number;
}

const SERVICED: ConditionEffect = {
  edgeFactor: 1,
  springFactor: 1,
  governorFactor: 1,
  camShift: 0,
  governorSpread: 0.008,
  noFireChance: 0,
  stickChance: 0,
  stallChance: 0,
  stroke: 1,
  rebounds: false,
  glows: false,
  contact: 'sound',
};

/** Blades that drag stop short only where nothing holds them open long enough to creep on. */
const SHORT_STROKE_BELOW = 1 / 100;
/** Stops per firing by which a shutter quickens as it is exercised, and the firings after which it is warm. */
const WARMING = -0.015;
const WARM_AFTER = 60;

/** By condition: how a firing differs from that of the serviced shutter. */
const DEPARTURES: {
  readonly [condition in ShutterCondition]: (
    mark: ShutterMark,
    at: Circumstances,
  ) => Partial<ConditionEffect>;
} = {
  serviced: () => ({}),
  gummed: (mark, { rested }) => gummed(mark, rested),
  'weak main spring': () => ({ edgeFactor: 1.7, springFactor: 1.6, governorFactor: 1.06 }),
  rebound: () => ({ rebounds: true }),
  'flash contact late': () => ({ contact: 'late' }),
  'contact dead': () => ({ contact: 'dead' }),
  'escapement worn': () => ({ governorFactor: 1.5 }),
  'pallet dirty': (mark) => (mark.governor === 'pallet' ? { governorFactor: 1.4 } : {}),
  'governor bypassed': () => ({ governorFactor: 0 }),
  'blade drag': () => ({ edgeFactor: 2, springFactor: 1.25 }),
  'blades not fully open': (mark) =>
    mark.marked !== null && mark.marked < SHORT_STROKE_BELOW ? { edgeFactor: 1.3, stroke: 0.85 } : {},
  'blade not closed': () => ({ glows: true }),
  'cam step worn': (mark) => only(mark, '1/30', -0.6),
  'booster not engaged': (mark) => only(mark, '1/500', 0.95),
  'marks out of order': (mark) => only(mark, '1/250', 1.4),
  'all slow': () => ({ camShift: 0.5 }),
  warming: (_, { firings }) => ({ camShift: WARMING * Math.min(firings, WARM_AFTER) }),
  'mounting strain': () => ({ edgeFactor: 1.35, springFactor: 1.2, governorFactor: 1.12 }),
  'B hangs': (mark) => (mark.marked === null ? { stickChance: 0.75 } : {}),
  'contact bounces': () => ({ contact: 'bouncing' }),
  // The blades are sound: self-timer.ts.
  'self-timer hesitates': () => ({}),
};

export function effectOf(
  condition: ShutterCondition,
  mark: ShutterMark,
  circumstances: Circumstances,
): ConditionEffect {
  return { ...SERVICED, ...DEPARTURES[condition](mark, circumstances) };
}

/** A fault of one mark alone, in stops. */
function only(mark: ShutterMark, label: string, camShift: number): Partial<ConditionEffect> {
  return mark.label === label ? { camShift } : {};
}

/** The governor suffers most, above all with its pallet; the first firing after a rest is the worst. */
function gummed(mark: ShutterMark, rested: boolean): Partial<ConditionEffect> {
  const pallet = mark.governor === 'pallet';
  return {
    edgeFactor: rested ? 1.8 : 1.25,
    springFactor: rested ? 1.4 : 1.05,
    governorFactor: (pallet ? 1.35 : 1.15) * (rested ? 1.6 : 1),
    governorSpread: pallet ? 0.13 : 0.05,
    noFireChance: rested ? 0.08 : 0.02,
    stickChance: pallet ? 0.04 : 0,
    stallChance: pallet ? 0.06 : 0,
  };
}
