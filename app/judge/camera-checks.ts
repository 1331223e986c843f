/** Checks of a camera besides its speeds. */

/** Where the lever for flash stood, if there is one. */
export type SyncSetting = 'not stated' | 'X' | 'M';

export interface SelfTimerRun {
  readonly id: string;
  /** ISO 8601 with zone. */
  readonly at: string;
  /** From release to first light. */
  readonly seconds: number;
  /** By a switch at the release, timed by the board; or by a key, good to a tenth of a second. */
  readonly startedBy: 'release switch' | 'key';
  /** The user's reason for leaving it out, or null. */
  readonly setAside: string | null;
}

export const MECHANICAL_STATES = ['good', 'adjusted', 'fault', 'not fitted', 'not tested'] as const;
export type MechanicalState = (typeof MECHANICAL_STATES)[number];

export interface MechanicalCheck {
  readonly id: string;
  readonly name: string;
  readonly state: MechanicalState;
  readonly note: string;
}

/** What the contact and its lead were seen to do while the user worked the contact by hand. */
export interface ContactLeadResult {
  readonly state: 'works' | 'never closed' | 'always closed' | 'bounces';
  /** Closures that lasted, and breaks within them. */
  readonly closures: number;
  readonly bounces: number;
  /** How long it was watched. */
  readonly seconds: number;
}
