/**
 * Bytes from the board → messages. Layouts as in README.md; every type has one exact length, except that a
 * sample block's follows from its count and an introduction of another protocol version may be longer.
 */
import { FrameDecoder, type FrameFault, LONGEST_MESSAGE_FRAME } from './frames.ts';
import {
  type Edge,
  type Hello,
  type Message,
  MessageType,
  PROTOCOL_VERSION,
  type Pulse,
  type Reply,
  SAMPLES_PER_BLOCK,
  type Samples,
  type Shutter,
  type Status,
} from './messages.ts';
import { readText } from './text.ts';
import { ticks } from './units.ts';

/** A frame with a good CRC whose type this page doesn't know. */
export interface UnknownMessage {
  readonly type: 'unknown';
  readonly code: number;
  readonly sequence: number;
}

/** Bytes that carried no message. */
export interface Damage {
  /** 'malformed': the frame is whole, but a field holds what its definition forbids. */
  readonly cause: FrameFault | 'malformed';
  /** Encoded bytes thrown away, the delimiter not counted. */
  readonly bytes: number;
}

type Refusal = 'length' | 'malformed';

/** Bytes before the values: type, sequence, index, tick, mask, first, lost. */
const SAMPLES_HEADER = 13;
const HELLO_LENGTH = 43;

const uint16 = (bytes: Uint8Array, at: number) => bytes[at]! | (bytes[at + 1]! << 8);
const uint32 = (bytes: Uint8Array, at: number) =>
  (bytes[at]! | (bytes[at + 1]! << 8) | (bytes[at + 2]! << 16) | (bytes[at + 3]! << 24)) >>> 0;

function samples(bytes: Uint8Array): Samples | Refusal {
  const count = bytes.length - SAMPLES_HEADER;
  if (count < 1 || count > SAMPLES_PER_BLOCK) return 'length';
  const mask = bytes[10]!;
  const first = bytes[11]!;
  if (first > 7 || ((mask >> first) & 1) === 0) return 'malformed';
  return {
    type: 'samples',
    sequence: bytes[1]!,
    index: uint32(bytes, 2),
    tick: ticks(uint32(bytes, 6)),
    mask,
    first,
    lost: bytes[12]!,
    values: bytes.subarray(SAMPLES_HEADER),
  };
}

function hello(bytes: Uint8Array): Hello | Refusal {
  if (bytes.length < HELLO_LENGTH) return 'length';
  const protocol = bytes[2]!;
  const kind = bytes[3]!;
  // The page must be able to name the version it refuses, so a longer introduction is read as far as known.
  if (protocol === PROTOCOL_VERSION) {
    if (bytes.length !== HELLO_LENGTH) return 'length';
    if (kind !== 1 && kind !== 2) return 'malformed';
  }
  const board = readText(bytes, 4, 16);
  const serial = readText(bytes, 26, 8);
  if (board === null || serial === null) return 'malformed';
  return {
    type: 'hello',
    sequence: bytes[1]!,
    protocol,
    kind: kind === 2 ? 'edges' : 'samples',
    board,
    firmware: `${bytes[20]}.${bytes[21]}`,
    image: uint32(bytes, 22),
    serial,
    tickHz: uint32(bytes, 34),
    ticksPerConversion: uint16(bytes, 38),
    bits: bytes[40]!,
    channels: bytes[41]!,
    resetCause: bytes[42]!,
  };
}

function edge(bytes: Uint8Array): Edge | Refusal {
  if (bytes.length !== 9) return 'length';
  if (bytes[2]! > 1 || bytes[3]! > 1) return 'malformed';
  return {
    type: 'edge',
    sequence: bytes[1]!,
    input: bytes[2] === 0 ? 'contact' : 'release',
    closed: bytes[3] === 1,
    tick: ticks(uint32(bytes, 4)),
    lost: bytes[8]!,
  };
}

function status(bytes: Uint8Array): Status | Refusal {
  if (bytes.length !== 18) return 'length';
  if (bytes[6]! > 1) return 'malformed';
  return {
    type: 'status',
    sequence: bytes[1]!,
    tick: ticks(uint32(bytes, 2)),
    streaming: bytes[6] === 1,
    mask: bytes[7]!,
    overruns: uint16(bytes, 8),
    commandBytesLost: uint16(bytes, 10),
    commandsRefused: uint16(bytes, 12),
    edgesLost: uint16(bytes, 14),
    supplyMillivolts: uint16(bytes, 16),
  };
}

function reply(bytes: Uint8Array): Reply | Refusal {
  if (bytes.length !== 5) return 'length';
  return { type: 'reply', sequence: bytes[1]!, command: bytes[2]!, tag: bytes[3]!, result: bytes[4]! };
}

function pulse(bytes: Uint8Array): Pulse | Refusal {
  if (bytes.length !== 11) return 'length';
  return {
    type: 'pulse',
    sequence: bytes[1]!,
    rise: ticks(uint32(bytes, 2)),
    fall: ticks(uint32(bytes, 6)),
    remaining: bytes[10]!,
  };
}

function shutter(bytes: Uint8Array): Shutter | Refusal {
  if (bytes.length !== 12) return 'length';
  if (bytes[2]! > 7) return 'malformed';
  return {
    type: 'shutter',
    sequence: bytes[1]!,
    channel: bytes[2]!,
    open: ticks(uint32(bytes, 3)),
    close: ticks(uint32(bytes, 7)),
    lost: bytes[11]!,
  };
}

/** Reads type byte and body. The values of a sample block are a view of these bytes, not a copy. */
function decodeMessage(bytes: Uint8Array): Message | UnknownMessage | Refusal {
  if (bytes.length < 2) return 'length';
  switch (bytes[0]) {
    case MessageType.samples:
      return samples(bytes);
    case MessageType.hello:
      return hello(bytes);
    case MessageType.edge:
      return edge(bytes);
    case MessageType.status:
      return status(bytes);
    case MessageType.reply:
      return reply(bytes);
    case MessageType.pulse:
      return pulse(bytes);
    case MessageType.shutter:
      return shutter(bytes);
    default:
      return { type: 'unknown', code: bytes[0]!, sequence: bytes[1]! };
  }
}

/**
 * Messages out of a stream of bytes in pieces of any size; the result doesn't depend on how it was cut.
 * Make a new one for each session.
 *
 * A session usually begins in the middle of a frame. What comes before the first delimiter is therefore taken
 * if it is a whole good frame, and otherwise only added to `counts.partialBytes`: it is no damage.
 */
export class MessageReader {
  readonly counts = {
    messages: 0,
    unknown: 0,
    partialBytes: 0,
    length: 0,
    coding: 0,
    crc: 0,
    malformed: 0,
  };
  readonly #frames = new FrameDecoder(LONGEST_MESSAGE_FRAME);
  #delimiterSeen = false;
  /** Those of the present push; the functions below stay the same, since new ones for each push cost more than the rest. */
  #message: (message: Message) => void = () => {};
  #damage: (damage: Damage) => void = () => {};
  #unknown: ((unknown: UnknownMessage) => void) | undefined;
  readonly #refuse = (cause: Damage['cause'], bytes: number) => {
    if (this.#delimiterSeen) {
      this.counts[cause]++;
      this.#damage({ cause, bytes });
    } else this.counts.partialBytes += bytes;
  };
  readonly #frame = (content: Uint8Array) => {
    const decoded = decodeMessage(content);
    if (typeof decoded === 'string') {
      // Content shorter than 254 bytes: COBS added one byte, and the CRC is two more.
      this.#refuse(decoded, content.length + 3);
    } else if (decoded.type === 'unknown') {
      this.counts.unknown++;
      this.#unknown?.(decoded);
    } else {
      this.counts.messages++;
      this.#message(decoded);
    }
  };
  readonly #delimiter = () => {
    this.#delimiterSeen = true;
  };

  /**
   * A block's `values` lie in a larger buffer beside other frames' bytes (copying each block into a buffer of its
   * own takes longer than all the rest): copy them before storing them or posting them to a worker.
   */
  push(
    chunk: Uint8Array,
    message: (message: Message) => void,
    damage: (damage: Damage) => void,
    unknown?: (unknown: UnknownMessage) => void,
  ): void {
    this.#message = message;
    this.#damage = damage;
    this.#unknown = unknown;
    this.#frames.push(chunk, this.#frame, this.#refuse, this.#delimiter);
  }
}
