/** Wide open against one stop down at a fast mark: whether light and sensor use the whole opening. */

import type { Stops } from '../../firmware-protocol/units.ts';
import type { Interval } from './verdict.ts';

export interface IrisCheckResult {
  readonly mark: string;
  readonly firingsOpen: number;
  readonly firingsStopped: number;
  /** How much longer the time should get, from the curves recorded wide open, if the whole opening is used. */
  readonly expected: Stops;
  /** How much longer it got, with its 95 % interval. */
  readonly found: Stops;
  readonly interval: Interval;
  /** Light one stop down as a share of the light wide open; a stop is a half. */
  readonly lightShare: number;
  readonly outcome: 'whole opening used' | 'part of the opening used' | 'cannot be decided' | 'not one stop';
}
