/** The practice shutter as the page shows it. */
import type { ShutterCondition } from './conditions.ts';
import type { LeadState } from './contact-line.ts';
import type { PracticeSync } from './flash-contact.ts';
import type { LightLevels } from './light.ts';

/** Replaced as a whole whenever something changes. */
export interface PracticeState {
  readonly dial: string;
  readonly condition: ShutterCondition;
  readonly governorQuarterTurns: number;
  readonly blades: 'at rest' | 'exposing' | 'held open' | 'stuck open';
  readonly light: LightLevels;
  /** Stops that the iris is closed by; parts of a stop occur. */
  readonly iris: number;
  /** Central share of the opening's area that light and sensor use, above 0 to 1. */
  readonly seenShare: number;
  readonly sync: PracticeSync;
  /** The lead between flash contact and board. */
  readonly lead: LeadState;
  readonly selfTimerRuns: boolean;
  /** How much the board's resonator is fast. */
  readonly clockPpm: number;
  /** How often the board has given up time it was behind: a clock check has to begin anew after each. */
  readonly skipped: number;
  /** A sentence on what the shutter just did or refused; empty when there is nothing to say. */
  readonly note: string;
}

/** Serviced, at rest, everything plugged in. */
export const stateAtFirst = (light: LightLevels, clockPpm: number): PracticeState => ({
  dial: '1/60',
  condition: 'serviced',
  governorQuarterTurns: 0,
  blades: 'at rest',
  light,
  iris: 0,
  seenShare: 1,
  sync: 'X',
  lead: 'plugged in',
  selfTimerRuns: false,
  clockPpm,
  skipped: 0,
  note: '',
});
