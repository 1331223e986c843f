/**
 * A job as it is kept: what the workshop was given, how it stood, and every firing. The one
 * door through which stored or foreign data enters is schema.ts.
 */

import type { Seconds, Stops } from '../../firmware-protocol/units.ts';
import type {
  ContactLeadResult,
  MechanicalCheck,
  SelfTimerRun,
  SyncSetting,
} from '../judge/camera-checks.ts';
import type { IrisCheckResult } from '../judge/iris-check-result.ts';
import type { MeterTest } from '../judge/meter-test.ts';
import type { Programme } from '../judge/programme.ts';
import type { SetUp, ShutterProfile } from '../judge/set-up.ts';
import type { Band, DecisionRule, ReferenceRule, Series } from '../judge/verdict.ts';
import type { WorkStep } from '../judge/work-step.ts';
import type { ClockCorrection, Figures, Firing, ReferenceLevel } from '../measure/figures.ts';
import type { LightCheckResult, ReferenceLightResult } from '../measure/light-check-result.ts';

/** In the order of the work. */
export const STAGES = ['as found', 'trials', 'after rest', 'as left'] as const;
export type StageId = (typeof STAGES)[number];
/** The stages that a customer is told of on page 1; the others are the workshop's. */
export const PAPER_STAGES = ['as found', 'as left'] as const;
export type PaperStage = (typeof PAPER_STAGES)[number];

export const JOB_STATES = [
  'received',
  'waiting for an answer',
  'waiting for parts',
  'on the bench',
  'resting',
  'finished',
  'sent',
] as const;
export type JobState = (typeof JOB_STATES)[number];

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
  /** Where the lever for flash stands; each firing carries its own. */
  readonly sync: SyncSetting;
  /** Steps of the programme that the user left out at this stage, by their place in it. */
  readonly skipped: readonly number[];
}

/** A line in the job's diary, with or without a picture. */
export interface JobNote {
  readonly id: string;
  /** ISO 8601 with zone. */
  readonly at: string;
  readonly text: string;
  /** Id of a Picture, or null. */
  readonly picture: string | null;
  readonly onJobSheet: boolean;
}

/** A picture as it is kept: scaled down on its way in. */
export interface Picture {
  readonly id: string;
  readonly jobId: string;
  readonly type: 'image/jpeg' | 'image/png';
  readonly width: number;
  readonly height: number;
  readonly bytes: Uint8Array;
}

/** A paper that was handed out. */
export interface IssuedPaper {
  readonly kind: 'certificate' | 'working speeds card' | 'job sheet';
  readonly number: string;
  /** ISO 8601 with zone. */
  readonly at: string;
  /** SHA-256 of the data file that it carries, 64 hex digits; null for a paper without one. */
  readonly dataSha256: string | null;
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
  | { readonly kind: 'iris'; readonly at: string; readonly stage: StageId; readonly result: IrisCheckResult }
  | {
      readonly kind: 'contact lead';
      readonly at: string;
      readonly stage: StageId;
      readonly result: ContactLeadResult;
    };

export interface Job {
  readonly id: string;
  /** Running number of the workshop, printed on papers. */
  readonly number: string;
  /** ISO 8601 with zone. */
  readonly received: string;
  /** Every state the job has been in, the present one last; never empty. `at` is ISO 8601 with zone. */
  readonly states: readonly { readonly state: JobState; readonly at: string }[];
  /** When the user took the job off the list (it is kept and can be brought back), or null. */
  readonly removed: string | null;
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
  /** What was done between the firings, oldest first. */
  readonly steps: readonly WorkStep[];
  /** For the papers, in the user's words. */
  readonly work: {
    readonly done: string;
    readonly parts: string;
    readonly lubricants: string;
    readonly remarks: string;
  };
  /** Null: the user turns the dial as he likes. */
  readonly programme: Programme | null;
  /** How long the flash lights that X is judged for. */
  readonly flashDuration: Seconds;
  readonly selfTimer: readonly SelfTimerRun[];
  readonly meter: MeterTest | null;
  readonly mechanics: readonly MechanicalCheck[];
  readonly notes: readonly JobNote[];
  /** Oldest first. */
  readonly issued: readonly IssuedPaper[];
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
  /** Where the lever for flash stood. */
  readonly sync: SyncSetting;
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
  readonly logo: Logo | null;
}

export interface Logo {
  readonly type: 'image/jpeg' | 'image/png';
  readonly width: number;
  readonly height: number;
  readonly bytes: Uint8Array;
}
