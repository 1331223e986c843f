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
] as const;
export type ShutterCondition = (typeof SHUTTER_CONDITIONS)[number];

export interface ConditionEffect {
  /** On the durations of opening and closing. */
  readonly edgeFactor: number;
  /** On what main spring and cam give of the time fully open. */
  readonly springFactor: number;
  readonly governorFactor: number;
  /** Standard deviation of the logarithm of the governor's time. */
  readonly governorSpread: number;
  readonly noFireChance: number;
  readonly stickChance: number;
  /** Chance that the governor halts for some seconds and then runs on. */
  readonly stallChance: number;
  readonly rebounds: boolean;
  readonly contact: ContactState;
}

const SERVICED: ConditionEffect = {
  edgeFactor: 1,
  springFactor: 1,
  governorFactor: 1,
  governorSpread: 0.008,
  noFireChance: 0,
  stickChance: 0,
  stallChance: 0,
  rebounds: false,
  contact: 'sound',
};

export function effectOf(condition: ShutterCondition, mark: ShutterMark, rested: boolean): ConditionEffect {
  switch (condition) {
    case 'serviced':
      return SERVICED;
    case 'gummed':
      return gummed(mark, rested);
    case 'weak main spring':
      return { ...SERVICED, edgeFactor: 1.7, springFactor: 1.6, governorFactor: 1.06 };
    case 'rebound':
      return { ...SERVICED, rebounds: true };
    case 'flash contact late':
      return { ...SERVICED, contact: 'late' };
    case 'contact dead':
      return { ...SERVICED, contact: 'dead' };
  }
}

/** The governor suffers most, above all with its pallet; the first firing after a rest is the worst. */
function gummed(mark: ShutterMark, rested: boolean): ConditionEffect {
  const pallet = mark.governor === 'pallet';
  return {
    ...SERVICED,
    edgeFactor: rested ? 1.8 : 1.25,
    springFactor: rested ? 1.4 : 1.05,
    governorFactor: (pallet ? 1.35 : 1.15) * (rested ? 1.6 : 1),
    governorSpread: pallet ? 0.13 : 0.05,
    noFireChance: rested ? 0.08 : 0.02,
    stickChance: pallet ? 0.04 : 0,
    stallChance: pallet ? 0.06 : 0,
  };
}
