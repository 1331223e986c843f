/** A board that introduces itself with markup, and streams darkness. Its end of the line is the test's own. */
import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { FrameDecoder, LONGEST_COMMAND_FRAME } from '../../firmware-protocol/frames.ts';
import { CommandType, type Hello, PROTOCOL_VERSION, ReplyResult } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import type { SerialLine } from '../rig/serial-line.ts';

/** 16 and 8 characters are all that the wire has for them. */
export const BOARD = '<img src onerror';
export const SERIAL = '"><b id=';
const DARK = new Uint8Array(128).fill(10);

/** Returns how to end it. */
export function speakAsHostileBoard(line: SerialLine): () => void {
  let sequence = 0;
  let index = 0;
  let streaming = false;
  const number = () => sequence++ % 256;
  const hello = (): Hello => ({
    type: 'hello',
    sequence: number(),
    protocol: PROTOCOL_VERSION,
    kind: 'samples',
    board: BOARD,
    firmware: '1.1',
    image: 0,
    serial: SERIAL,
    tickHz: 2_000_000,
    ticksPerConversion: 52,
    bits: 8,
    channels: 0b111,
    resetCause: 0,
  });
  const commands = new FrameDecoder(LONGEST_COMMAND_FRAME);
  line.on('bytes', (bytes) => {
    if (line.speed !== 500_000) return; // at another speed a board hears nothing that makes sense
    const answer = (content: Uint8Array) => {
      const command = decodeCommand(content);
      if (command === null || command.type === 'refused') return;
      if (command.type === 'start') streaming = true;
      if (command.type === 'stop') streaming = false;
      const code = CommandType[command.type];
      const { done } = ReplyResult;
      line.write(
        encodeMessage({ type: 'reply', sequence: number(), command: code, tag: command.tag, result: done }),
      );
      if (command.type === 'hello') line.write(encodeMessage(hello()));
    };
    commands.push(bytes, answer, () => {});
  });
  const sending = setInterval(() => {
    for (let block = 0; streaming && block < 30; block++) {
      line.write(
        encodeMessage({
          type: 'samples',
          sequence: number(),
          index,
          tick: ticks((index * 52) % 2 ** 32),
          mask: 1,
          first: 0,
          lost: 0,
          values: DARK,
        }),
      );
      index += DARK.length;
    }
  }, 100);
  return () => clearInterval(sending);
}
