import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { FrameDecoder, LONGEST_COMMAND_FRAME } from '../../firmware-protocol/frames.ts';
import {
  CommandType,
  type Hello,
  type Message,
  ReplyResult,
  SAMPLES_PER_BLOCK,
} from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import type { SerialLine } from './serial-line.ts';

const INTRODUCTION: Hello = {
  type: 'hello',
  sequence: 0,
  protocol: 1,
  kind: 'samples',
  board: 'scripted',
  firmware: '1.0',
  image: 0,
  serial: '',
  tickHz: 2_000_000,
  ticksPerConversion: 52,
  bits: 8,
  channels: 1,
  resetCause: 0,
};
/** Of the dark, in codes. */
const DARK = 4;

type Unnumbered<M> = M extends Message ? Omit<M, 'sequence'> : never;

/**
 * Speaks the protocol as a tester does, but streams as it is told: for what no sound firmware would send. It
 * answers every command with done.
 */
export class ScriptedBoard {
  readonly #line: SerialLine;
  #sequence = 0;
  #index = 0;
  isStreaming = false;

  constructor(line: SerialLine) {
    this.#line = line;
    let decoder = new FrameDecoder(LONGEST_COMMAND_FRAME);
    line.on('opened', () => {
      decoder = new FrameDecoder(LONGEST_COMMAND_FRAME);
      this.isStreaming = false;
    });
    line.on('bytes', (bytes) => {
      decoder.push(
        bytes,
        (content) => this.#obey(content),
        () => {},
      );
    });
  }

  /** Blocks of dark that follow each other without a gap, as bytes. */
  blocks(count: number): Uint8Array {
    const frames = Array.from({ length: count }, () => {
      const frame = this.#encode({
        type: 'samples',
        index: this.#index,
        tick: ticks((this.#index * INTRODUCTION.ticksPerConversion) % 2 ** 32),
        mask: 1,
        first: 0,
        lost: 0,
        values: new Uint8Array(SAMPLES_PER_BLOCK).fill(DARK),
      });
      this.#index = (this.#index + SAMPLES_PER_BLOCK) % 2 ** 32;
      return frame;
    });
    return Buffer.concat(frames);
  }

  #obey(content: Uint8Array): void {
    const command = decodeCommand(content);
    if (command === null || command.type === 'refused') return;
    if (command.type === 'hello') this.#say(INTRODUCTION);
    if (command.type === 'stop') this.isStreaming = false;
    const { tag } = command;
    this.#say({ type: 'reply', command: CommandType[command.type], tag, result: ReplyResult.done });
    if (command.type === 'start') this.isStreaming = true;
  }

  #say(message: Unnumbered<Message>): void {
    this.#line.write(this.#encode(message));
  }

  #encode(message: Unnumbered<Message>): Uint8Array {
    const sequence = this.#sequence;
    this.#sequence = (sequence + 1) & 0xff;
    return encodeMessage({ ...message, sequence } as Message);
  }
}
