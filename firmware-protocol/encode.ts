/** Messages → frames, as a board would send them: for simulated boards and for tests. */
import { encodeFrame } from './frames.ts';
import { type Message, MessageType, SAMPLES_PER_BLOCK } from './messages.ts';
import { writeText } from './text.ts';

/** Little-endian fields one after another. */
class Fields {
  readonly bytes: Uint8Array;
  readonly #view: DataView;
  #at = 0;

  constructor(length: number) {
    this.bytes = new Uint8Array(length);
    this.#view = new DataView(this.bytes.buffer);
  }
  uint8(value: number): this {
    this.#view.setUint8(this.#at, value);
    this.#at += 1;
    return this;
  }
  uint16(value: number): this {
    this.#view.setUint16(this.#at, value, true);
    this.#at += 2;
    return this;
  }
  uint32(value: number): this {
    this.#view.setUint32(this.#at, value, true);
    this.#at += 4;
    return this;
  }
  text(value: string, size: number): this {
    writeText(this.bytes, this.#at, size, value);
    this.#at += size;
    return this;
  }
  copy(values: Uint8Array): this {
    this.bytes.set(values, this.#at);
    this.#at += values.length;
    return this;
  }
}

function content(message: Message): Fields {
  const begin = (length: number) =>
    new Fields(length).uint8(MessageType[message.type]).uint8(message.sequence);
  switch (message.type) {
    case 'hello': {
      const [major, minor] = message.firmware.split('.');
      return begin(43)
        .uint8(message.protocol)
        .uint8(message.kind === 'samples' ? 1 : 2)
        .text(message.board, 16)
        .uint8(Number(major))
        .uint8(Number(minor))
        .uint32(message.image)
        .text(message.serial, 8)
        .uint32(message.tickHz)
        .uint16(message.ticksPerConversion)
        .uint8(message.bits)
        .uint8(message.channels)
        .uint8(message.resetCause);
    }
    case 'samples': {
      const count = message.values.length;
      if (count < 1 || count > SAMPLES_PER_BLOCK) {
        throw new RangeError(`a sample block holds 1 to ${SAMPLES_PER_BLOCK} samples, not ${count}`);
      }
      return begin(13 + count)
        .uint32(message.index)
        .uint32(message.tick)
        .uint8(message.mask)
        .uint8(message.first)
        .uint8(message.lost)
        .copy(message.values);
    }
    case 'edge':
      return begin(9)
        .uint8(message.input === 'contact' ? 0 : 1)
        .uint8(message.closed ? 1 : 0)
        .uint32(message.tick)
        .uint8(message.lost);
    case 'status':
      return begin(18)
        .uint32(message.tick)
        .uint8(message.streaming ? 1 : 0)
        .uint8(message.mask)
        .uint16(message.overruns)
        .uint16(message.commandBytesLost)
        .uint16(message.commandsRefused)
        .uint16(message.edgesLost)
        .uint16(message.supplyMillivolts);
    case 'reply':
      return begin(5).uint8(message.command).uint8(message.tag).uint8(message.result);
    case 'pulse':
      return begin(11).uint32(message.rise).uint32(message.fall).uint8(message.remaining);
    case 'shutter':
      return begin(12).uint8(message.channel).uint32(message.open).uint32(message.close).uint8(message.lost);
  }
}

/** The frame a board would send, delimiter included. Numbers are cut to their field; wrong texts and counts throw RangeError. */
export const encodeMessage = (message: Message): Uint8Array => encodeFrame(content(message).bytes);
