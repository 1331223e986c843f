/**
 * What the screens look at: one store that projects results. It never holds samples; a reading's curve is
 * fetched by its id (actions/readings.ts).
 */
import { useEffect, useState } from 'preact/hooks';
import { createStore } from 'zustand/vanilla';
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { FlashFailure, FlashReport, FlashStep } from '../link/flashing/firmware-report.ts';
import type { LineCounts } from '../link/line-tally.ts';
import type { PortKind } from '../link/port.ts';
import type { SessionState } from '../link/session-state.ts';
import type {
  ClockCorrection,
  Figures,
  ReferenceEnd,
  ReferenceLevel,
  SpoiltCause,
} from '../measure/figures.ts';
import type { PracticeState } from '../practice/practice-state.ts';
import { DEFAULT_PREFERENCES } from '../record/default-preferences.ts';
import type { Job, StageId, Workshop } from '../record/job.ts';
import type { JobSummary } from '../record/job-summary.ts';
import type { KnownBoard, Preferences } from '../record/preferences.ts';
import { loadRateSetting, type RateSetting } from './actions/rate-memory.ts';

export type Screen =
  | 'start'
  | 'jobs'
  | 'job'
  | 'checks'
  | 'bench'
  | 'results'
  | 'camera'
  | 'certificate'
  | 'settings';

/** How the bench is looked at. */
export type BenchView = 'one reading' | 'side by side' | 'across the room';

/** A firing as the screens show it. */
export interface Reading {
  readonly id: string;
  readonly stage: StageId;
  readonly mark: string;
  readonly ordinal: number;
  readonly at: string;
  readonly figures: Figures;
  readonly spoilt: SpoiltCause | null;
  readonly setAside: string | null;
  /** Seconds since the firing before it; null for the first. */
  readonly rest: number | null;
  readonly exercised: boolean;
  /** By how much the board's clock is fast, as far as the figures are corrected for it; 0 without a correction. */
  readonly clockPpm: number;
  readonly kept: 'provisional' | 'writing' | 'recorded' | 'not recorded' | 'not filed';
  /** Raised when this firing lies far from its mark; `nearest` is another mark it lies nearer to. */
  readonly question: { readonly words: string; readonly nearest: string | null } | null;
}

/** What the light channel is doing just now. */
export interface Eye {
  readonly phase: 'no light channel' | 'not armed' | 'armed' | 'open';
  /** Present light, in codes of the converter. */
  readonly code: number | null;
}

export interface RateState {
  readonly inUse: LineRate;
  /** A sentence, where the normal rate is in use though the board may have another; else null. */
  readonly whyNotFast: string | null;
}

/** The reference open level of the present set-up. */
export interface ReferenceState {
  readonly held: ReferenceLevel | null;
  /** When it was taken, in milliseconds since 1970; the board's ticks say nothing to the user. */
  readonly since: number | null;
  /** Why the last one is no longer held; null while one is, or when there never was one. */
  readonly ended: ReferenceEnd | null;
}

/** The firmware being put on a board. */
export type Flashing =
  | { readonly phase: 'idle' }
  | {
      readonly phase: 'working';
      readonly step: 'loading' | FlashStep | 'connecting';
      /** How far the step has come, 0 to 1; null where that is not known. */
      readonly part: number | null;
    }
  | { readonly phase: 'done'; readonly report: FlashReport }
  | { readonly phase: 'failed'; readonly because: FlashTrouble; readonly sentence: string };

export type FlashTrouble = FlashFailure | 'not loaded' | 'in another tab' | 'no introduction';

/** A check under way, with how far it has come (0 to 1). */
export type Checking =
  | { readonly kind: 'light'; readonly step: 'dark' | 'wait for light' | 'open'; readonly part: number }
  | { readonly kind: 'reference light'; readonly part: number }
  | {
      readonly kind: 'iris';
      readonly mark: string;
      readonly step: 'wide open' | 'one stop down';
      readonly firings: { readonly open: number; readonly stopped: number };
      /** Why the last firing was not taken, or empty. */
      readonly trouble: string;
    }
  | {
      readonly kind: 'contact lead';
      /** Null while nobody knows. */
      readonly closed: boolean | null;
      readonly closures: number;
      readonly bounces: number;
      /** Since the test began. */
      readonly seconds: number;
    }
  | {
      readonly kind: 'self-timer';
      /** 'light came': its time follows when the shutter has closed. */
      readonly step: 'wait for release' | 'running' | 'light came';
      readonly startedBy: 'release switch' | 'key' | null;
      /** performance.now() at the release, for a running display; null before it. */
      readonly since: number | null;
    };

export interface Notice {
  readonly id: number;
  readonly tone: 'word' | 'trouble';
  readonly text: string;
}

export interface View {
  readonly screen: Screen;
  readonly source: PortKind | null;
  readonly session: SessionState;
  readonly counts: LineCounts;
  /** The board's sampling rate; null where it has none, for a recording, and while no board is live yet. */
  readonly rate: RateState | null;
  readonly rateSetting: RateSetting;
  readonly flashing: Flashing;
  readonly eye: Eye;
  readonly practice: PracticeState | null;
  /** The one received last first; jobs taken off the list are among them. */
  readonly jobs: readonly JobSummary[];
  readonly job: Job | null;
  readonly workshop: Workshop;
  readonly preferences: Preferences;
  readonly boards: readonly KnownBoard[];
  readonly benchView: BenchView;
  /** Marks of the side-by-side view, two to four. */
  readonly sideBySide: readonly string[];
  readonly stage: StageId;
  /** Where the user says the dial stands; null when no job is open. */
  readonly mark: string | null;
  readonly readings: readonly Reading[];
  /** Firings of this job that are kept but can't be read. */
  readonly unreadable: number;
  /** Id of the reading shown large: the latest, or the one the user looks back at. */
  readonly shown: string | null;
  readonly reference: ReferenceState;
  /** The board's clock against the computer's; null while it is not known well enough. */
  readonly clock: ClockCorrection | null;
  readonly checking: Checking | null;
  /** Whether the browser keeps the screen from going dark. */
  readonly awake: boolean;
  /** Words for the last undoable step, null when there is none. */
  readonly undo: string | null;
  readonly notices: readonly Notice[];
  /** Why nothing can be recorded, or null. */
  readonly recordTrouble: string | null;
  /** The database is laid out by a newer Leafclock than this page. */
  readonly newerDatabase: boolean;
  /** A newer page waits to be loaded, or has taken over from another tab. */
  readonly update: 'none' | 'waiting' | 'elsewhere';
}

export const view = createStore<View>()(() => ({
  screen: 'start',
  source: null,
  session: { phase: 'idle' },
  counts: { damaged: 0, faults: 0, gaps: 0, lost: 0 },
  rate: null,
  rateSetting: loadRateSetting(),
  flashing: { phase: 'idle' },
  eye: { phase: 'not armed', code: null },
  practice: null,
  jobs: [],
  job: null,
  workshop: { name: '', address: '', signatory: '', logo: null },
  preferences: DEFAULT_PREFERENCES,
  boards: [],
  benchView: 'one reading',
  sideBySide: [],
  stage: 'as found',
  mark: null,
  readings: [],
  unreadable: 0,
  shown: null,
  reference: { held: null, since: null, ended: null },
  clock: null,
  checking: null,
  awake: false,
  undo: null,
  notices: [],
  recordTrouble: null,
  newerDatabase: false,
  update: 'none',
}));

/** The part of the view that `select` picks. It must return what the store holds, never a fresh object. */
export function useView<Part>(select: (view: View) => Part): Part {
  const [part, setPart] = useState(() => select(view.getState()));
  useEffect(() => {
    const look = () => setPart(() => select(view.getState()));
    look();
    return view.subscribe(look);
  }, []);
  return part;
}
