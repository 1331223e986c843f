/**
 * What board and page say to each other, once the frame around it has been taken off (frames.ts).
 * The words behind these layouts are in README.md beside this file; vectors.json holds examples.
 */
import type { Ticks } from './units.ts';

export const PROTOCOL_VERSION = 1;
/** Samples in one sample block of the present firmware; the wire allows 1 to this many. */
export const SAMPLES_PER_BLOCK = 128;

/** Board → page. First byte of each frame. */
export const MessageType = {
  hello: 0x01,
  samples: 0x02,
  edge: 0x03,
  status: 0x04,
  reply: 0x05,
  pulse: 0x06,
  shutter: 0x07,
} as const;

/** Page → board. First byte of each frame. */
export const CommandType = {
  hello: 0x10,
  start: 0x11,
  stop: 0x12,
  channels: 0x13,
  pulses: 0x14,
  serial: 0x15,
} as const;

export const ReplyResult = {
  done: 0,
  unknownCommand: 1,
  wrongLength: 2,
  badValue: 3,
  busy: 4,
} as const;

/** Every message carries the board's running frame number, 0 to 255, whatever its type. */
interface Numbered {
  readonly sequence: number;
}

/** The board's introduction. */
export interface Hello extends Numbered {
  readonly type: 'hello';
  readonly protocol: number;
  /** 'samples': streams the light; 'edges': times a comparator's edges and sends only open and close. */
  readonly kind: 'samples' | 'edges';
  /** Model, printable ASCII, at most 16 characters. */
  readonly board: string;
  readonly firmware: string;
  /** CRC-32 (ISO-HDLC) of the program memory the board runs, or 0 if it can't tell. */
  readonly image: number;
  /** The board's own serial number, printable ASCII, at most 8 characters; empty if none was set. */
  readonly serial: string;
  readonly tickHz: number;
  /** Ticks from one conversion to the next; 0 for a board that doesn't sample. */
  readonly ticksPerConversion: number;
  readonly bits: number;
  /** Bit n set: channel n exists. */
  readonly channels: number;
  /** What reset the board last: bit 0 power-on, 1 external, 2 brown-out, 3 watchdog; 0 if unknown. */
  readonly resetCause: number;
}

export interface Samples extends Numbered {
  readonly type: 'samples';
  /** Running number of the first conversion in this block, counted where conversions end; wraps at 2^32. */
  readonly index: number;
  /** Board tick at which the first sample was held; wraps at 2^32. */
  readonly tick: Ticks;
  /** Channels sampled in turn, ascending from the first. */
  readonly mask: number;
  /** Channel of the first sample in this block. */
  readonly first: number;
  /** Conversions lost inside this block, 0 to 255 (saturating). Above 0 the block is no measurement. */
  readonly lost: number;
  readonly values: Uint8Array;
}

export interface Edge extends Numbered {
  readonly type: 'edge';
  readonly input: 'contact' | 'release';
  /** Contact closed, or release pressed. */
  readonly closed: boolean;
  readonly tick: Ticks;
  /** Edges of any input lost before this one, since the edge message before (saturating at 255). */
  readonly lost: number;
}

export interface Status extends Numbered {
  readonly type: 'status';
  readonly tick: Ticks;
  readonly streaming: boolean;
  readonly mask: number;
  /** Conversions lost since start, saturating at 65535. */
  readonly overruns: number;
  /** Bytes from the page that were lost or damaged, saturating at 65535. */
  readonly commandBytesLost: number;
  /** Frames from the page that were refused (CRC, length, unknown), saturating at 65535. */
  readonly commandsRefused: number;
  readonly edgesLost: number;
  /** Supply in millivolts; 0 when it was not measured (it is measured only while stopped). */
  readonly supplyMillivolts: number;
}

export interface Reply extends Numbered {
  readonly type: 'reply';
  readonly command: number;
  readonly tag: number;
  readonly result: number;
}

/** One reference light pulse has ended: the ticks at which the pin rose and fell. */
export interface Pulse extends Numbered {
  readonly type: 'pulse';
  readonly rise: Ticks;
  readonly fall: Ticks;
  /** Pulses still to come. */
  readonly remaining: number;
}

/** From a board of kind 'edges': light came and went on one channel. */
export interface Shutter extends Numbered {
  readonly type: 'shutter';
  readonly channel: number;
  readonly open: Ticks;
  readonly close: Ticks;
  /** Openings lost before this one (saturating at 255). */
  readonly lost: number;
}

export type Message = Hello | Samples | Edge | Status | Reply | Pulse | Shutter;

export type Command =
  | { readonly type: 'hello'; readonly tag: number }
  | { readonly type: 'start'; readonly tag: number }
  | { readonly type: 'stop'; readonly tag: number }
  | { readonly type: 'channels'; readonly tag: number; readonly mask: number }
  | {
      readonly type: 'pulses';
      readonly tag: number;
      /** Width and gap in ticks, 200 to 2^31 − 1. Count 1 to 255; 0 stops pulses that run. */
      readonly width: number;
      readonly gap: number;
      readonly count: number;
    }
  | { readonly type: 'serial'; readonly tag: number; readonly serial: string };
