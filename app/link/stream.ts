/**
 * What the link hands on: the board's stream with ticks unwrapped, channels separated and every loss
 * spelled out. Free of the DOM, since measure reads it.
 */
import type { Ticks } from '../../firmware-protocol/units.ts';

/** Samples of one channel, evenly spaced in the board's time, with nothing missing between them. */
export interface SampleRun {
  readonly kind: 'run';
  readonly channel: number;
  /** Tick at which the first sample was held. */
  readonly firstTick: Ticks;
  readonly ticksPerSample: number;
  readonly values: Uint8Array;
}

export type GapCause =
  | 'damaged' // a frame failed its CRC, its COBS coding or its length
  | 'missing' // sequence number or conversion index jumped
  | 'overrun' // the board itself lost conversions
  | 'read error' // the port reported overrun, framing or break
  | 'restarted' // the board was reset or the stream started anew
  | 'disconnected'
  | 'silence';

/** Nothing may be measured across a gap. It concerns all channels. */
export interface Gap {
  readonly kind: 'gap';
  readonly cause: GapCause;
}

export interface ContactEdge {
  readonly kind: 'contact';
  readonly tick: Ticks;
  readonly closed: boolean;
  /** Edges the board could not time before this one, since the edge before: at least so many. */
  readonly lost: number;
}

export interface ReleaseEdge {
  readonly kind: 'release';
  readonly tick: Ticks;
  readonly pressed: boolean;
  readonly lost: number;
}

export interface ReferencePulse {
  readonly kind: 'pulse';
  readonly rise: Ticks;
  readonly fall: Ticks;
}

/** From a board that times edges instead of sampling. */
export interface TimedOpening {
  readonly kind: 'timed opening';
  readonly channel: number;
  readonly open: Ticks;
  readonly close: Ticks;
}

export type StreamEvent = SampleRun | Gap | ContactEdge | ReleaseEdge | ReferencePulse | TimedOpening;
