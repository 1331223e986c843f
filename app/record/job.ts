/**
 * A job as it is kept: what the workshop was given, how it stood, and every firing. The one
 * door through which stored or foreign data enters is schema.ts.
 */

import type { Stops } from '../../firmware-protocol/units.ts';
import type { IrisCheckResult } from '../judge/iris-check-result.ts';
import type { SetUp, ShutterProfile } from '../judge/set-up.ts';
import type { Band, DecisionRule, ReferenceRule, Series } from '../judge/verdict.ts';
import type { ClockCorrection, Figures, Firing, ReferenceLevel } from '../measure/figures.ts';
import type { LightCheckResult, ReferenceLightResult } from '../measure/light-check-result.ts';

/** In the order of the work. */
export const STAGES = ['as found', 'as left'] as const;
export type StageId = (typeof STAGES)[number];

/** How the shutter stood when the readings were taken. Unlike states are never compared silently. */
export interface Assembly {
  readonly mounting: 'not stated' | 'bare' | 'front plate fastened' | 'in the body';
  readonly cells: 'not stated' | 'in' | 'out';
  /** As the user writes it: 'wide open', 'f/8'; empty if not stated. */
  readonly iris: string;
  readonly release: 'not stated' | 'by hand' | 'cable' | 'body';
  readonly cocking: 'not stated' | 'lever' | 'film advance';
  readonly attitude: string;
  /** °C, null if not stated. */
  readonly temperature: number | null;
}

export type Outcome = 'did not fire' | 'stuck open' | 'not tried';

export interface Stage {
  readonly assembly: Assembly;
  readonly setUp: SetUp;
  /** By label of the marked speed. A mark without an entry was fired or is still open. */
  readonly outcomes: Readonly<Record<string, Outcome>>;
}

/** A check of the instrument made during the job, the newest last. `at` is ISO 8601 with zone. */
export type Check =
  | {
      readonly kind: 'light';
      readonly at: string;
      readonly stage: StageId;
      readonly result: LightCheckResult;
    }
  | {
      readonly kind: 'reference light';
      readonly at: string;
      readonly stage: StageId;
      readonly result: ReferenceLightResult;
    }
  | { readonly kind: 'iris'; readonly at: string; readonly stage: StageId; readonly result: IrisCheckResult };

export interface Job {
  readonly id: string;
  /** Running number of the workshop, printed on papers. */
  readonly number: string;
  /** ISO 8601 with zone. */
  readonly received: string;
  readonly customer: { readonly name: string; readonly contact: string };
  readonly camera: {
    readonly description: string;
    readonly bodySerial: string;
    readonly shutter: string;
    readonly shutterSerial: string;
    readonly lens: string;
    readonly lensSerial: string;
  };
  readonly complaint: string;
  /** Frozen into the job, so that editing a series later changes no old job. */
  readonly series: Series;
  readonly referenceRule: ReferenceRule;
  readonly band: Band;
  /** Bands of single marks, by label, where they differ. */
  readonly bands: Readonly<Record<string, Band>>;
  /** In which the user reads and writes limits; they are kept in stops. */
  readonly bandUnit: 'EV' | '%';
  readonly decisionRule: DecisionRule;
  /** Largest standard deviation of the firings at one mark; null: no limit. */
  readonly spreadLimit: Stops | null;
  readonly profile: ShutterProfile;
  readonly checks: readonly Check[];
  readonly leastFirings: { readonly [stage in StageId]: number };
  readonly stages: { readonly [stage in StageId]: Stage };
  /** True for the demonstration job: everything in it is invented. */
  readonly invented: boolean;
}

/** Which board and firmware took a firing. */
export interface BoardIdentity {
  readonly board: string;
  readonly serial: string;
  readonly firmware: string;
  /** CRC-32 of the firmware image, 8 hex digits. */
  readonly image: string;
  readonly protocol: number;
  readonly practice: boolean;
}

export interface FiringRecord {
  readonly id: string;
  readonly jobId: string;
  readonly stage: StageId;
  /** Label of the mark that the dial was said to stand at. */
  readonly mark: string;
  /** Running number within the job, in the order of firing. */
  readonly ordinal: number;
  /** Wall clock, ISO 8601 with zone. */
  readonly at: string;
  /** Seconds since the firing before it, null for the first. */
  readonly rest: number | null;
  readonly board: BoardIdentity;
  readonly firing: Firing;
  readonly figures: Figures;
  /** How the shutter stood at this firing, whatever is said of its stage later. */
  readonly assembly: Assembly;
  /** The reference level in force, whether it was used or not. */
  readonly reference: ReferenceLevel | null;
  /** How light and sensor stood. */
  readonly setUp: SetUp;
  /** Correction of the board's clock that is in these figures; null when none was known. */
  readonly clockCorrection: ClockCorrection | null;
  /** The user says that the shutter was exercised before it: it counts in spite of the rest. */
  readonly exercised: boolean;
  readonly measuringVersion: number;
  /** The user's reason for leaving it out of the statistics, or null. */
  readonly setAside: string | null;
  /** Marks this firing was filed under before the user moved it, oldest first. */
  readonly movedFrom: readonly string[];
}

export interface Workshop {
  readonly name: string;
  readonly address: string;
  readonly signatory: string;
}
