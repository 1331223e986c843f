/** How the workshop likes its jobs, papers and bench. Defaults are copied into a job when it is made. */
import type { Seconds, Stops } from '../../firmware-protocol/units.ts';
import type { Programme } from '../judge/programme.ts';
import type { Band, DecisionRule, ReferenceRule, Series } from '../judge/verdict.ts';
import type { ClockCorrection } from '../measure/figures.ts';
import type { Job, StageId } from './job.ts';

/** What a key, or a pedal that types one, can be bound to. */
export const BOUND_ACTIONS = [
  'next mark',
  'previous mark',
  'repeat the last mark',
  'skip this step',
  'move the last firing',
  'set the last firing aside',
  'say the last reading',
  'undo',
  'start the self-timer',
] as const;
export type BoundAction = (typeof BOUND_ACTIONS)[number];

/** A list of mechanical checks for a type of camera. */
export interface CheckList {
  readonly id: string;
  readonly name: string;
  readonly items: readonly string[];
}

export type DateStyle = 'day month year' | 'month day, year' | 'year-month-day';

export interface Preferences {
  readonly papers: {
    /** Never worded as accredited. */
    readonly title: 'certificate' | 'test report';
    readonly size: 'A4' | 'Letter';
    readonly dates: DateStyle;
  };
  readonly defaults: {
    readonly seriesId: string;
    readonly referenceRule: ReferenceRule;
    readonly band: Band;
    readonly bandUnit: Job['bandUnit'];
    readonly decisionRule: DecisionRule;
    readonly spreadLimit: Stops | null;
    readonly leastFirings: { readonly [stage in StageId]: number };
    readonly flashDuration: Seconds;
    /** Id of a programme, or null. */
    readonly programmeId: string | null;
    /** Id of a check list, or null. */
    readonly checkListId: string | null;
  };
  /** The workshop's own, besides those built in. */
  readonly series: readonly Series[];
  readonly programmes: readonly Programme[];
  readonly checkLists: readonly CheckList[];
  /** Volumes from 0 to 1. */
  readonly tones: { readonly on: boolean; readonly volume: number };
  /** `voice`: the browser's name for one of its local voices; null: the first that suits. */
  readonly voice: { readonly on: boolean; readonly volume: number; readonly voice: string | null };
  /** KeyboardEvent.code by action, where the user bound one. */
  readonly keys: { readonly [action in BoundAction]?: string };
  /** `last`: ISO 8601 with zone. */
  readonly backUp: { readonly everyDays: number | null; readonly last: string | null };
}

/** A board that was connected here. Dates are ISO 8601 with zone. */
export interface KnownBoard {
  /** Its own serial number; boards without one share an entry by model and firmware image. */
  readonly serial: string;
  readonly board: string;
  readonly firmware: string;
  readonly image: string;
  readonly lastSeen: string;
  readonly clock: { readonly at: string; readonly correction: ClockCorrection } | null;
  readonly lightCheck: { readonly at: string; readonly problems: number } | null;
  readonly referenceLight: { readonly at: string; readonly passed: boolean } | null;
}
