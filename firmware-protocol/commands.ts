/** Commands: the page's side of the conversation, and how a board reads it. At most 16 bytes each. */
import { encodeFrame } from './frames.ts';
import { type Command, CommandType, ReplyResult } from './messages.ts';
import { readText, writeText } from './text.ts';

/** Shortest pulse and shortest gap of the reference light, ticks. */
const SHORTEST_PULSE = 200;
/** Longest pulse and longest gap, ticks. */
const LONGEST_PULSE = 0x7fffffff;

/** Bytes of type, tag and body. */
const LENGTH: Readonly<Record<Command['type'], number>> = {
  hello: 2,
  start: 2,
  stop: 2,
  channels: 3,
  pulses: 11,
  serial: 10,
};

/** The frame to send, delimiter included. A serial number that doesn't fit its field throws RangeError. */
export function encodeCommand(command: Command): Uint8Array {
  const content = new Uint8Array(LENGTH[command.type]);
  const view = new DataView(content.buffer);
  view.setUint8(0, CommandType[command.type]);
  view.setUint8(1, command.tag);
  if (command.type === 'channels') view.setUint8(2, command.mask);
  if (command.type === 'pulses') {
    view.setUint32(2, command.width, true);
    view.setUint32(6, command.gap, true);
    view.setUint8(10, command.count);
  }
  if (command.type === 'serial') writeText(content, 2, 8, command.serial);
  return encodeFrame(content);
}

/** A whole frame that is no command a board could carry out: what its reply must say. */
export interface RefusedCommand {
  readonly type: 'refused';
  readonly command: number;
  readonly tag: number;
  readonly result: number;
}

/**
 * How a board reads type, tag and body of a frame whose CRC was good. Null if there
 * isn't even a tag to answer to. Which channels exist is the board's own matter and not checked here.
 */
export function decodeCommand(bytes: Uint8Array): Command | RefusedCommand | null {
  if (bytes.length < 2) return null;
  const code = bytes[0]!;
  const tag = bytes[1]!;
  const refused = (result: number): RefusedCommand => ({ type: 'refused', command: code, tag, result });
  const type = (Object.keys(CommandType) as Command['type'][]).find((name) => CommandType[name] === code);
  if (type === undefined) return refused(ReplyResult.unknownCommand);
  if (bytes.length !== LENGTH[type]) return refused(ReplyResult.wrongLength);
  switch (type) {
    case 'channels':
      return { type, tag, mask: bytes[2]! };
    case 'pulses': {
      const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
      const width = view.getUint32(2, true);
      const gap = view.getUint32(6, true);
      const count = view.getUint8(10);
      const fits = (n: number) => n >= SHORTEST_PULSE && n <= LONGEST_PULSE;
      if (count > 0 && !(fits(width) && fits(gap))) return refused(ReplyResult.badValue);
      return { type, tag, width, gap, count };
    }
    case 'serial': {
      const serial = readText(bytes, 2, 8);
      return serial === null ? refused(ReplyResult.badValue) : { type, tag, serial };
    }
    default:
      return { type, tag };
  }
}
