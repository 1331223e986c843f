/**
 * What is said of a set-up and a shutter by the person who made and knows them: nothing of it can be measured
 * from the light alone.
 */

/** How light, shutter and sensor stand. Kept for each firing, since it bears on its uncertainty. */
export interface SetUp {
  readonly light: 'not stated' | 'broad and even' | 'near-parallel' | 'small lamp';
  readonly sensor:
    | 'not stated'
    | 'at the film plane'
    | 'close to the shutter'
    | 'narrow opening at the curtain';
  /**
   * Least share of the opening's area that is lit and seen, above 0 to 1. 1 only if the user says that it is
   * the whole; null while it is not stated.
   */
  readonly seenShare: number | null;
  /** Departure of sensor and amplifier from a straight line, ± this share of the time; null while not stated. */
  readonly linearity: number | null;
  /** Up to which sensor and amplifier follow the light (±3 dB), in Hz, above 0; null while not stated. */
  readonly bandwidthHz: number | null;
  /** In the user's words: lamp, distance, why it can't be lit from the usual side … */
  readonly note: string;
}

export const SET_UP_NOT_STATED: SetUp = {
  light: 'not stated',
  sensor: 'not stated',
  seenShare: null,
  linearity: null,
  bandwidthHz: null,
  note: '',
};

/** How the shutter is built, by labels of its marks. A mark that is in no list runs on the main spring alone. */
export interface ShutterProfile {
  /** Marks at which the governor (retard train) holds the blades open, those with the pallet included. */
  readonly governed: readonly string[];
  /** Governed marks that use the escapement's pallet. */
  readonly pallet: readonly string[];
  /** Marks at which a booster spring helps. */
  readonly booster: readonly string[];
  /** The blades uncover the opening from its centre (most leaf shutters): stopping down lengthens the time. */
  readonly fromCentre: boolean;
}
