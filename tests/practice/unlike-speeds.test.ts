import { describe, expect, it } from 'vitest';
import { EmulatedBoard } from '../../app/practice/board.ts';
import { heardBytes } from '../../app/practice/unlike-speeds.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Message } from '../../firmware-protocol/messages.ts';
import { seededRandom } from '../seeded-random.ts';
import { START_UP, TESTER_HEX } from './tester-firmware.ts';

const heard = (bytes: readonly number[], sentAt: number, heardAt: number) =>
  heardBytes(Uint8Array.from(bytes), sentAt, heardAt).map(
    ({ byte, framingError }) => byte.toString(16).padStart(2, '0') + (framingError ? '!' : ''),
  );

describe('bytes heard at another speed', () => {
  it('than they were sent at, worked out by hand: twice as fast an ear hears each bit twice', () => {
    // 0x55 on the line, start bit first: 0 10101010 1. Heard twice as fast: 00 11 00 11 00 11 00 11 00 11, then idle.
    // Start 0, data 0 1 1 0 0 1 1 0 (lowest bit first: 66), and 0 where the stop bit should be: a framing error. The
    // next falling edge is the third zero's from the end: start 0, data 0 1 1 0 0 1 1 1 (e6), stop 1.
    expect(heard([0x55], 500_000, 1_000_000)).toEqual(['66!', 'e6']);
    // 0x00: nine bits low. Start, eight zeros, stop low; the line stays low, so nothing begins before it rises.
    expect(heard([0x00], 500_000, 1_000_000)).toEqual(['00!']);
    // 0xff: only the start bit is low: start, then 0 1 1 1 1 1 1 1.
    expect(heard([0xff], 500_000, 1_000_000)).toEqual(['fe']);
  });

  it('half as fast an ear hears every other bit, and no start bit that is followed by a one', () => {
    // The middle of a bit of 2 µs lies on the border of two of 1 µs; the later counts. 0xff: at 1 µs the line is high.
    expect(heard([0xff], 1_000_000, 500_000)).toEqual([]);
    // 0x00: low for 9 µs. Middles at 1, 3, 5, 7, 9 µs …: start 0, data 0 0 0, then high: 0 0 0 1 1 1 1 1 = f8.
    expect(heard([0x00], 1_000_000, 500_000)).toEqual(['f8']);
    // 0x54 is 0 00101010 1: bits 0 to 9; middles at bits 1, 3, 5, 7, 9: start 0, data 1 1 1 1 and the idle line.
    expect(heard([0x54], 1_000_000, 500_000)).toEqual(['ff']);
  });

  it('an ear much too fast hears a long low as a framing error, and an ear much too slow next to nothing', () => {
    expect(heard([0x00, 0x00], 9600, 1_000_000)).toEqual(['00!', '00!']);
    expect(heard([0xff, 0xff], 1_000_000, 9600)).toEqual([]);
    expect(heardBytes(new Uint8Array(1000).fill(0x00), 1_000_000, 9600).length).toBeLessThanOrEqual(11); // 10 ms
  });

  it('at the same speed, or one off by less than a receiver bears, are the same bytes', () => {
    const random = seededRandom(71);
    const bytes = Uint8Array.from({ length: 500 }, () => 256 * random());
    // 115,200 baud from a chip at 16 MHz is 117,647 (data sheet, "Examples of UBRRn settings": 2.1 %).
    for (const [sentAt, heardAt] of [
      [500_000, 500_000],
      [117_647, 115_200],
      [115_200, 117_647],
      [1_000_000, 960_000],
      [1_000_000, 1_040_000],
    ] as const) {
      const all = heardBytes(bytes, sentAt, heardAt);
      expect(
        Uint8Array.from(all, ({ byte }) => byte),
        `${sentAt} at ${heardAt}`,
      ).toEqual(bytes);
      expect(all.every(({ framingError }) => !framingError)).toBe(true);
    }
    // 8 % is more than it bears: by the stop bit the middle is three quarters of a bit away.
    expect(heardBytes(bytes, 1_000_000, 1_080_000).some(({ framingError }) => framingError)).toBe(true);
  });
});

describe('a board on a line of another speed', () => {
  const board = () => new EmulatedBoard({ image: TESTER_HEX, light: () => 0 });
  const messagesIn = (bytes: Uint8Array) => {
    const messages: Message[] = [];
    new MessageReader().push(
      bytes,
      (message) => messages.push(message),
      () => {},
    );
    return messages;
  };

  it('is heard as other bytes, which make no message', () => {
    const test = board();
    test.run(START_UP);
    const garbled = test.takeBytes(1_000_000);
    expect(garbled.length).toBeGreaterThan(40);
    expect(messagesIn(garbled)).toEqual([]);
  });

  it('is heard truly in parts when it changes its speed in between', () => {
    const test = board();
    test.run(START_UP);
    test.takeBytes();
    test.receive(encodeCommand({ type: 'hello', tag: 1 }), 1_000_000);
    test.run(test.cycle + START_UP);
    expect(test.baudRate).toBe(1_000_000);
    test.receive(encodeCommand({ type: 'hello', tag: 2 }), 1_000_000);
    test.run(test.cycle + START_UP);
    const bytes = messagesIn(test.takeBytes(1_000_000));
    expect(bytes.map(({ type }) => type)).toEqual(expect.arrayContaining(['hello', 'reply']));
  });

  it('gives its bytes as they were sent to whoever names no speed', () => {
    const test = board();
    test.run(START_UP);
    expect(messagesIn(test.takeBytes())[0]).toMatchObject({ type: 'hello', ticksPerConversion: 52 });
  });
});
