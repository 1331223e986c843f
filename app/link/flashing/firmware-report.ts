/** Putting the firmware on a board: what is told on the way, at the end, and when it fails. */

export type FlashStep = 'looking for the boot loader' | 'writing' | 'verifying' | 'starting';

export interface FlashProgress {
  readonly step: FlashStep;
  /** Bytes done of this step, and how many it has; 0 of 0 while looking and starting. */
  readonly done: number;
  readonly total: number;
}

export interface FlashReport {
  /** Model, by its signature: 'ATmega328P'. */
  readonly chip: string;
  /** Baud at which the boot loader answered. */
  readonly baudRate: number;
  /** Bytes of program memory written and read back. */
  readonly bytes: number;
}

export type FlashFailure =
  | 'no boot loader' // silence at every speed
  | 'other chip' // its signature is none of those the firmware is built for
  | 'image does not fit' // the image is no sound hex file, or reaches into the boot loader
  | 'line damaged' // answers came damaged, again and again
  | 'gone' // the cable was pulled
  | 'verify failed' // what was read back is not what was written
  | 'could not open'
  | 'given up'; // by the user

/** Why it failed, with a sentence that says what to do. It may be tried again in every case. */
export class FlashError extends Error {
  override readonly name = 'FlashError';
  constructor(
    readonly code: FlashFailure,
    sentence: string,
  ) {
    super(sentence);
  }
}
