import type { BoardPort, PortError, PortRead } from '../../app/link/port.ts';
import { ReadQueue } from '../../app/link/read-queue.ts';
import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { cobsDecode } from '../../firmware-protocol/frames.ts';
import type { Command, Hello, Message, Status } from '../../firmware-protocol/messages.ts';
import { CommandType, PROTOCOL_VERSION, ReplyResult } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';

export const hello: Hello = {
  type: 'hello',
  sequence: 0,
  protocol: PROTOCOL_VERSION,
  kind: 'samples',
  board: 'made for a test',
  firmware: '1.0',
  image: 0x1234abcd,
  serial: 'T-1',
  tickHz: 2_000_000,
  ticksPerConversion: 52,
  bits: 8,
  channels: 7,
  resetCause: 1,
};

export const status: Status = {
  type: 'status',
  sequence: 0,
  tick: ticks(0),
  streaming: true,
  mask: 1,
  overruns: 0,
  commandBytesLost: 0,
  commandsRefused: 0,
  edgesLost: 0,
  supplyMillivolts: 0,
};

/** A port whose far end is written in the test: it hears commands and says what it is told to. */
export class FakePort implements BoardPort {
  readonly kind = 'serial';
  readonly heard: Command[] = [];
  /** With what speeds it was opened. */
  readonly speeds: number[] = [];
  /** Never settles. */
  hangs: { open?: boolean; write?: boolean; close?: boolean } = {};
  answers = true;
  introduces = true;
  refuses = 0;
  openFails: PortError | null = null;
  introduction: Hello = hello;
  #sequence = 0;
  readonly #queue = new ReadQueue();
  closed = 0;

  async open(baudRate = 500_000): Promise<void> {
    this.speeds.push(baudRate);
    this.#queue.clear();
    if (this.openFails) throw this.openFails;
    if (this.hangs.open) await new Promise(() => {});
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (this.hangs.write) await new Promise(() => {});
    const content = new Uint8Array(64);
    const length = cobsDecode(bytes, 0, bytes.length - 1, content, 0);
    const known = decodeCommand(content.subarray(0, length - 2));
    if (known === null || known.type === 'refused') throw new Error('no command');
    this.heard.push(known);
    if (known.type === 'hello' && this.introduces) this.say(this.introduction);
    if (!this.answers) return;
    const result = this.refuses ? ReplyResult.badValue : ReplyResult.done;
    this.say({ type: 'reply', sequence: 0, command: CommandType[known.type], tag: known.tag, result });
  }

  async close(): Promise<void> {
    this.closed++;
    if (this.hangs.close) await new Promise(() => {});
    this.put({ kind: 'ended', cause: 'closed' });
  }

  put(read: PortRead): void {
    this.#queue.put(read);
  }

  /** `at`: the arrival, in milliseconds. */
  bytes(bytes: Uint8Array, at = 0): void {
    this.put({ kind: 'bytes', bytes, at });
  }

  /** Says a message with the next running number. */
  say(message: Message, at = 0): void {
    this.bytes(encodeMessage({ ...message, sequence: this.#sequence }), at);
    this.#sequence = (this.#sequence + 1) & 0xff;
  }

  restartNumbers(): void {
    this.#sequence = 0;
  }

  block(
    index: number,
    values: ArrayLike<number>,
    tick = index * this.introduction.ticksPerConversion,
    at = 0,
  ): void {
    this.say(
      {
        type: 'samples',
        sequence: 0,
        index,
        tick: ticks(tick),
        mask: 1,
        first: 0,
        lost: 0,
        values: Uint8Array.from(values),
      },
      at,
    );
  }
}
