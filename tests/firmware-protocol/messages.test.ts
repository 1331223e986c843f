import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeCommand, encodeCommand, type RefusedCommand } from '../../firmware-protocol/commands.ts';
import { type Damage, MessageReader, type UnknownMessage } from '../../firmware-protocol/decode.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import {
  FrameDecoder,
  LONGEST_COMMAND_FRAME,
  LONGEST_MESSAGE_FRAME,
} from '../../firmware-protocol/frames.ts';
import type { Command, Message } from '../../firmware-protocol/messages.ts';
import { type Ticks, ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { fromHex, toHex } from './hex.ts';
import { vectors } from './vectors.ts';

interface Told {
  readonly messages: Message[];
  readonly damage: Damage[];
  readonly unknown: UnknownMessage[];
  readonly counts: MessageReader['counts'];
}

function read(...chunks: Uint8Array[]): Told {
  const reader = new MessageReader();
  const told: Told = { messages: [], damage: [], unknown: [], counts: reader.counts };
  for (const chunk of chunks) {
    reader.push(
      chunk,
      (message) => told.messages.push(message),
      (damage) => told.damage.push(damage),
      (unknown) => told.unknown.push(unknown),
    );
  }
  return told;
}

function readCommands(bytes: Uint8Array): (Command | RefusedCommand | string | null)[] {
  const told: (Command | RefusedCommand | string | null)[] = [];
  new FrameDecoder(LONGEST_COMMAND_FRAME).push(
    bytes,
    (content) => told.push(decodeCommand(content)),
    (cause) => told.push(cause),
  );
  return told;
}

const uint8 = fc.integer({ min: 0, max: 0xff });
const uint16 = fc.integer({ min: 0, max: 0xffff });
const uint32 = fc.integer({ min: 0, max: 0xffffffff });
const tick = uint32.map(ticks) as fc.Arbitrary<Ticks>;
const text = (size: number) =>
  fc
    .array(fc.integer({ min: 0x20, max: 0x7e }), { maxLength: size })
    .map((codes) => String.fromCharCode(...codes));

const samples = fc
  .record({
    type: fc.constant('samples' as const),
    sequence: uint8,
    index: uint32,
    tick,
    first: fc.nat(7),
    mask: uint8,
    lost: uint8,
    values: fc.uint8Array({ minLength: 1, maxLength: 128 }),
  })
  .map((block) => ({ ...block, mask: block.mask | (1 << block.first) }));

const message: fc.Arbitrary<Message> = fc.oneof(
  samples,
  fc.record({
    type: fc.constant('hello' as const),
    sequence: uint8,
    protocol: fc.constant(1),
    kind: fc.constantFrom('samples' as const, 'edges' as const),
    board: text(16),
    firmware: fc.tuple(uint8, uint8).map(([major, minor]) => `${major}.${minor}`),
    image: uint32,
    serial: text(8),
    tickHz: uint32,
    ticksPerConversion: uint16,
    bits: uint8,
    channels: uint8,
    resetCause: uint8,
  }),
  fc.record({
    type: fc.constant('edge' as const),
    sequence: uint8,
    input: fc.constantFrom('contact' as const, 'release' as const),
    closed: fc.boolean(),
    tick,
    lost: uint8,
  }),
  fc.record({
    type: fc.constant('status' as const),
    sequence: uint8,
    tick,
    streaming: fc.boolean(),
    mask: uint8,
    overruns: uint16,
    commandBytesLost: uint16,
    commandsRefused: uint16,
    edgesLost: uint16,
    supplyMillivolts: uint16,
  }),
  fc.record({
    type: fc.constant('reply' as const),
    sequence: uint8,
    command: uint8,
    tag: uint8,
    result: uint8,
  }),
  fc.record({
    type: fc.constant('pulse' as const),
    sequence: uint8,
    rise: tick,
    fall: tick,
    remaining: uint8,
  }),
  fc.record({
    type: fc.constant('shutter' as const),
    sequence: uint8,
    channel: fc.nat(7),
    open: tick,
    close: tick,
    lost: uint8,
  }),
);

const span = fc.integer({ min: 200, max: 0x7fffffff });
const command: fc.Arbitrary<Command> = fc.oneof(
  fc.record({ type: fc.constantFrom('hello' as const, 'start' as const, 'stop' as const), tag: uint8 }),
  fc.record({ type: fc.constant('channels' as const), tag: uint8, mask: uint8 }),
  fc.record({ type: fc.constant('pulses' as const), tag: uint8, width: span, gap: span, count: uint8 }),
  fc.record({ type: fc.constant('serial' as const), tag: uint8, serial: text(8) }),
);

describe('messages', () => {
  for (const vector of vectors.messages) {
    it(`are read and written as in the vectors: ${vector.name}`, () => {
      const told = read(fromHex(vector.hex));
      expect(told.messages).toEqual([vector.message]);
      expect(told.damage).toEqual([]);
      if (vector.encodable !== false) expect(toHex(encodeMessage(vector.message))).toBe(vector.hex);
    });
  }

  it('come back, whatever they hold, and fit the longest frame', () => {
    fc.assert(
      fc.property(fc.array(message, { maxLength: 6 }), (list) => {
        const frames = list.map(encodeMessage);
        for (const frame of frames) expect(frame.length).toBeLessThanOrEqual(LONGEST_MESSAGE_FRAME + 1);
        expect(read(...frames)).toMatchObject({ messages: list, damage: [], unknown: [] });
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  it('reach the longest frame with a full block', () => {
    const full = vectors.messages.find((vector) => vector.name === 'full block of zeros')!;
    expect(fromHex(full.hex).length).toBe(LONGEST_MESSAGE_FRAME + 1);
  });

  it('are refused by the writer if a text or a block does not fit', () => {
    const hello = vectors.messages[0]!.message as Extract<Message, { type: 'hello' }>;
    const block = vectors.messages.find((vector) => vector.message.type === 'samples')!.message;
    expect(() => encodeMessage({ ...hello, serial: '123456789' })).toThrow(RangeError);
    expect(() => encodeMessage({ ...hello, board: 'Blitz\u00e9' })).toThrow(RangeError);
    expect(() => encodeMessage({ ...block, values: new Uint8Array(129) } as Message)).toThrow(RangeError);
    expect(() => encodeMessage({ ...block, values: new Uint8Array(0) } as Message)).toThrow(RangeError);
  });
});

describe('commands', () => {
  for (const vector of vectors.commands) {
    it(`are written and read as in the vectors: ${vector.name}`, () => {
      expect(toHex(encodeCommand(vector.command))).toBe(vector.hex);
      expect(readCommands(fromHex(vector.hex))).toEqual([vector.command]);
    });
  }

  it('come back, whatever they hold, in 16 bytes at most', () => {
    fc.assert(
      fc.property(command, (any) => {
        const frame = encodeCommand(any);
        expect(frame.length).toBeLessThanOrEqual(16);
        expect(readCommands(frame)).toEqual([any]);
      }),
      { seed: 12, numRuns: 500 },
    );
  });

  for (const vector of vectors.refusedByBoard) {
    it(`are refused as in the vectors: ${vector.name}`, () => {
      const [told, ...more] = readCommands(fromHex(vector.hex));
      expect(more).toEqual([]);
      if (vector.refused) expect(told).toEqual({ type: 'refused', ...vector.refused });
      else expect(told ?? 'length').toBe(vector.fault);
    });
  }

  it('with a serial number that does not fit are not sent', () => {
    expect(() => encodeCommand({ type: 'serial', tag: 1, serial: 'too long by far' })).toThrow(RangeError);
    expect(() => encodeCommand({ type: 'serial', tag: 1, serial: 'a\nb' })).toThrow(RangeError);
  });
});

describe('damage', () => {
  for (const vector of vectors.damagedFromBoard) {
    it(`is told as in the vectors: ${vector.name}`, () => {
      const told = read(fromHex(vector.hex));
      expect(told.damage.map((damage) => damage.cause)).toEqual(vector.damage);
      expect(told.unknown).toEqual(vector.unknown.map((unknown) => ({ type: 'unknown', ...unknown })));
      expect(told.messages.length).toBe(vector.messages);
      const { counts } = told;
      expect(counts.length + counts.coding + counts.crc + counts.malformed).toBe(vector.damage.length);
      expect(counts.unknown).toBe(vector.unknown.length);
      expect(counts.messages).toBe(vector.messages);
    });
  }

  it('is not what stands before the first delimiter of a session', () => {
    const whole = fromHex(vectors.messages[6]!.hex);
    const told = read(whole.subarray(40), whole);
    expect(told.messages.length).toBe(1);
    expect(told.damage).toEqual([]);
    expect(told.counts.partialBytes).toBe(whole.length - 41);
  });

  it('before the first delimiter may be longer than any frame', () => {
    const told = read(new Uint8Array(1000).fill(0x55), fromHex('00'), fromHex(vectors.messages[0]!.hex));
    expect(told.messages.length).toBe(1);
    expect(told.damage).toEqual([]);
  });

  it('counts the bytes it cost', () => {
    const frame = fromHex(
      vectors.damagedFromBoard.find((vector) => vector.name === 'samples of no channel')!.hex,
    );
    expect(read(frame).damage).toEqual([{ cause: 'malformed', bytes: frame.length - 2 }]);
  });

  it('of random bytes is survived, and messages are the same however the bytes are cut', () => {
    const random = seededRandom(13);
    const noise = Uint8Array.from({ length: 50_000 }, () => (random() < 0.05 ? 0 : random() * 256));
    const good = vectors.messages.map((vector) => fromHex(vector.hex));
    const stream = Buffer.concat([noise.subarray(0, 20_000), fromHex('00'), ...good, noise.subarray(20_000)]);
    const whole = read(stream);
    expect(whole.messages).toEqual(vectors.messages.map((vector) => vector.message));
    const bytewise = read(...Array.from(stream, (byte) => Uint8Array.of(byte)));
    expect(bytewise).toEqual(whole);
  });
});
