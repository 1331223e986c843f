/**
 * The vocabulary of this folder: a firing (one release, as recorded) and the figures read from it.
 * Terms follow ISO 516 (camera shutters, timing) and IEEE Std 181 (pulse terms).
 */
import type { Seconds, Ticks } from '../../firmware-protocol/units.ts';

/** Raises with every change that may alter a figure; stored with each firing. */
export const MEASURING_VERSION = 3;

/** One release on one light channel, cut out of the stream with dark before and after it. */
export interface Firing {
  readonly channel: number;
  readonly tickHz: number;
  /** Tick of samples[0]. */
  readonly firstTick: Ticks;
  readonly ticksPerSample: number;
  /** 8-bit codes. Empty for a board that times edges only. */
  readonly samples: Uint8Array;
  /** Highest code the converter can give. */
  readonly fullScale: number;
  /** Flash-contact edges inside the record. */
  readonly contact: readonly FiringContactEdge[];
  /** The contact was known to stand closed when the record began; left out where it was open or nobody knows. */
  readonly contactClosedBefore?: true;
  /** Set when the board timed the opening itself instead of sampling it. */
  readonly timed?: { readonly open: Ticks; readonly close: Ticks };
  /** The record begins with light already there, or ends before it is dark again. */
  readonly truncated: 'no' | 'start' | 'end';
  /** Why this firing is no measurement, or null. */
  readonly spoilt: SpoiltCause | null;
}

export interface FiringContactEdge {
  readonly tick: Ticks;
  readonly closed: boolean;
  /** Edges that the board could not time before this one, at least so many; left out when none. */
  readonly lost?: number;
}

export type SpoiltCause =
  | 'data damaged'
  | 'data missing'
  | 'board overrun'
  | 'read error'
  | 'board restarted'
  | 'disconnected'
  | 'silence';

/** The open level of the present set-up, from a slow firing or a shutter held open. In codes. */
export interface ReferenceLevel {
  /** Light above dark, in codes (open minus dark), so that a slow drift of the dark does not touch it. */
  readonly height: number;
  /** Standard uncertainty of height, in codes. */
  readonly uncertainty: number;
  readonly firstTick: Ticks;
  readonly origin: 'slow firing' | 'light check';
}

/** Why a reference level is no longer held. */
export type ReferenceEnd =
  | 'light changed' // a plateau disagreed with it by more than 1 %
  | 'too old'
  | 'board restarted'
  | 'set-up changed' // another job, stage or state of assembly
  | 'dropped by the user';

/**
 * The board's clock against the computer's: it runs at nominal · (1 + ppm · 10⁻⁶), so that a true time is
 * the time by its ticks and their nominal rate, divided by (1 + ppm · 10⁻⁶).
 */
export interface ClockCorrection {
  readonly ppm: number;
  /** Standard uncertainty of ppm from the arrival times alone. The computer's own clock comes on top. */
  readonly uncertainty: number;
  /** How long the two clocks were compared. */
  readonly observedSeconds: number;
}

export type OpenLevelOrigin =
  | 'plateau' // the blades stood fully open in this firing
  | 'plateau and reference' // a short plateau, pooled with the reference it agrees with
  | 'reference' // taken from a slower firing of the same set-up
  | 'peak'; // neither: the highest light seen, which may be too low

export interface Levels {
  /** Codes. */
  readonly dark: number;
  /** Standard deviation of one dark sample, in codes. */
  readonly noise: number;
  /** Samples that dark and noise rest on. */
  readonly darkSamples: number;
  readonly open: number;
  readonly openOrigin: OpenLevelOrigin;
  /** Standard uncertainty of open − dark, in codes. */
  readonly openUncertainty: number;
}

export type RemarkCode =
  | 'saturated'
  | 'weak light'
  | 'no open level' // never fully open and no reference: the time is too long
  | 'reference level used'
  | 'low peak' // well below the reference: the blades may not have opened fully
  | 'light changed' // a plateau that disagrees with the reference by more than 1 %
  | 'truncated start'
  | 'truncated end'
  | 'never closed'
  | 'detector slow' // ISO 516 bandwidth rule: shape figures carry a remark
  | 'no shape figures' // under 100 steps of light
  | 'short dark'
  | 'rebound'
  | 'glow after closing' // value: light that stays on after closing, as a share of the open level
  | 'flicker 100 Hz' // value: amplitude as a share of the open level
  | 'flicker 120 Hz'
  | 'light drifts' // value: change over the open part as a share of the open level, with its sign
  | 'open time only' // the board times edges: no light curve
  | 'spoilt';

/** A remark is a code with the number that led to it; the sentence is made where it is shown. */
export interface Remark {
  readonly code: RemarkCode;
  readonly value?: number;
}

export interface Rebound {
  /** Effective time of the light after closing alone. */
  readonly effective: Seconds;
  /** Highest open fraction reached, 0 to 1. */
  readonly peak: number;
  /** From last light of the exposure to the rebound's highest light. */
  readonly delay: Seconds;
}

/** Instants in seconds from the first sample of the record. */
export interface Instants {
  readonly firstLight: Seconds;
  readonly halfOpen: Seconds;
  readonly fullOpen: Seconds;
  readonly closingStart: Seconds;
  readonly halfClosed: Seconds;
  readonly lastLight: Seconds;
}

/**
 * The flash contact beside the light, in one firing. Instants are in seconds from the first sample of the record;
 * where the board timed the opening itself, from that opening.
 */
export interface ContactFigures {
  /** First closure; null: it did not close within the record, or (`lost` above 0) nobody knows when it did. */
  readonly closed: Seconds | null;
  /** The contact stood closed when the record began. */
  readonly closedBefore: boolean;
  /** Breaks before it stayed closed, and how long that took from the first closure. */
  readonly bounces: number;
  readonly bounceTime: Seconds;
  /** When it parted for good; null if it was still closed at the end of the record. */
  readonly parted: Seconds | null;
  /** How long it stood closed within the record, all told. */
  readonly closedTime: Seconds;
  /** Edges that the board could not time, at least so many: above 0, there were more breaks than were counted. */
  readonly lost: number;
  /** Open fraction at the first closure; null without a light curve. */
  readonly openAtClosure: number | null;
  /** Instants of 80 % and 90 % open on opening, and of 90 % on closing; null if the shutter never got there. */
  readonly open80: Seconds | null;
  readonly open90: Seconds | null;
  readonly closing90: Seconds | null;
}

/** Null where the figure could not be had; a remark says why. */
export interface Figures {
  readonly levels: Levels | null;
  /** ∫ a dt from edge to edge, light after closing left out. The headline figure. */
  readonly effective: Seconds | null;
  /** The same with light after closing counted in. */
  readonly effectiveWithRebound: Seconds | null;
  /** Between the instants of half light. */
  readonly halfHeight: Seconds | null;
  /** First light to last light at `threshold`. For a board that times edges: its open time. */
  readonly total: Seconds | null;
  /** Open fraction at which total is taken. */
  readonly threshold: number | null;
  /** effective / total. */
  readonly efficiency: number | null;
  /** 10 to 90 % durations (IEEE 181). */
  readonly opening: Seconds | null;
  readonly closing: Seconds | null;
  /** First light to fully open, and its mirror. */
  readonly openingFull: Seconds | null;
  readonly closingFull: Seconds | null;
  /** Time above 95 % open. */
  readonly fullyOpen: Seconds | null;
  /**
   * Effective time with the lens stopped down by 1, 2, … 6 stops, if the blades uncover from the centre:
   * ∫ min(a, 2^−k) dt · 2^k. An upper estimate.
   */
  readonly stoppedDown: readonly Seconds[] | null;
  readonly rebound: Rebound | null;
  readonly instants: Instants | null;
  /** Null where no contact edge and no closed contact was seen. */
  readonly contact: ContactFigures | null;
  readonly remarks: readonly Remark[];
}

/** What stands where nothing could be read. */
export const NO_FIGURES: Figures = {
  levels: null,
  effective: null,
  effectiveWithRebound: null,
  halfHeight: null,
  total: null,
  threshold: null,
  efficiency: null,
  opening: null,
  closing: null,
  openingFull: null,
  closingFull: null,
  fullyOpen: null,
  stoppedDown: null,
  rebound: null,
  instants: null,
  contact: null,
  remarks: [],
};
