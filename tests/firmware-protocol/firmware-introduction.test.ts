import { describe, expect, it } from 'vitest';
import { readHexImage } from '../../app/practice/chip/hex-image.ts';
import { ReplyResult } from '../../firmware-protocol/messages.ts';
import { fromHex } from './hex.ts';
import { image, TestBoard } from './test-board.ts';
import { vectors } from './vectors.ts';

/** CRC-32 by its definition (ISO-HDLC: polynomial 04C11DB7 reflected, all ones at start and end). */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return ~crc >>> 0;
}

/** The bytes a hex file writes, which here are one run from address 0. */
function imageBytes(hex: string): Uint8Array {
  const records = hex.split(/\r?\n/).filter((line) => line.startsWith(':') && line.slice(7, 9) === '00');
  return fromHex(records.map((line) => line.slice(9, -2)).join(''));
}

describe('introduction', () => {
  it('comes unasked after a reset and says what the board is', () => {
    const test = new TestBoard();
    const hello = test.greet();
    expect(test.messages[0]).toBe(hello);
    expect(hello).toEqual({
      type: 'hello',
      sequence: 0,
      protocol: 1,
      kind: 'samples',
      board: 'ATmega328P',
      firmware: '1.1',
      image: crc32(imageBytes(image)),
      serial: '',
      tickHz: 2_000_000,
      ticksPerConversion: 52,
      bits: 8,
      channels: 7,
      resetCause: 1,
    });
    expect(test.damage).toEqual([]);
  });

  it('checks the image with a CRC-32 whose check value is right, over all of the hex file', () => {
    // CRC catalogue, CRC-32/ISO-HDLC: "123456789" gives CBF43926.
    expect(crc32(new TextEncoder().encode('123456789'))).toBe(0xcbf43926);
    const bytes = imageBytes(image);
    expect([...new Uint8Array(readHexImage(image).buffer, 0, bytes.length)]).toEqual([...bytes]);
  });

  it('names the cause of each reset, and 0 where a boot loader has taken it away', () => {
    const test = new TestBoard();
    test.greet();
    for (const [cause, bit] of [
      ['external', 2],
      ['brown-out', 4],
      ['watchdog', 8],
    ] as const) {
      test.board.reset(cause);
      expect(test.greet().resetCause).toBe(bit);
    }
  });

  it('is given again when asked for, and answered after it', () => {
    const test = new TestBoard();
    test.greet();
    test.forget();
    expect(test.ask({ type: 'hello' }).result).toBe(ReplyResult.done);
    const types = test.messages.filter((message) => message.type !== 'status').map((message) => message.type);
    expect(types).toEqual(['hello', 'reply']);
  });

  it('comes out whole although the line is cut off by the reset in the middle of a frame', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'start' });
    test.run(50);
    test.forget();
    test.board.reset();
    const hello = test.greet();
    expect(hello).toMatchObject({ sequence: 0, resetCause: 2 });
    expect(test.damage.length).toBeLessThanOrEqual(1);
    expect(test.of('samples').filter((block) => block.sequence > hello.sequence)).toEqual([]);
  });

  it('shows a restart by a tick near zero', () => {
    const test = new TestBoard();
    test.run(900);
    expect(test.of('status').at(-1)!.tick).toBeGreaterThan(1_000_000);
    test.board.reset();
    test.forget();
    test.run(400);
    expect(test.of('status')[0]!.tick).toBeLessThan(700_000);
  });
});

describe('status', () => {
  it('comes about four times a second, streaming or not, with the supply only while stopped', () => {
    const test = new TestBoard({ supplyVolts: 4.75 });
    test.greet();
    test.forget();
    test.run(2000);
    expect(test.of('status').length).toBeGreaterThanOrEqual(7);
    expect(test.of('status').length).toBeLessThanOrEqual(9);
    const stopped = test.of('status').at(-1)!;
    expect(stopped).toMatchObject({ streaming: false, mask: 1, overruns: 0, edgesLost: 0 });
    // 1024 × 1.1 V / 4.75 V, cut off to a whole number, is 237: one step is 20 mV.
    expect(Math.abs(stopped.supplyMillivolts - 4750)).toBeLessThanOrEqual(20);

    test.ask({ type: 'start' });
    test.forget();
    test.run(2000);
    expect(test.of('status').length).toBeGreaterThanOrEqual(7);
    for (const status of test.of('status'))
      expect(status).toMatchObject({ streaming: true, supplyMillivolts: 0 });
  });

  it('carries the tick of its sending', () => {
    const test = new TestBoard();
    test.greet();
    test.run(1000);
    const [first, second] = test.of('status').slice(-2);
    const ticks = second!.tick - first!.tick;
    // 8 turns of 65536 ticks, and the main loop's delay.
    expect(Math.abs(ticks - 524_288)).toBeLessThan(2000);
  });
});

describe("the board's own serial number", () => {
  it('is stored, survives a reset and the loss of power, and can be taken away', () => {
    const test = new TestBoard();
    expect(test.greet().serial).toBe('');
    expect(test.ask({ type: 'serial', serial: 'LC-0042' }).result).toBe(ReplyResult.done);
    test.ask({ type: 'hello' });
    expect(test.of('hello').at(-1)!.serial).toBe('LC-0042');
    for (const cause of ['external', 'power on'] as const) {
      test.board.reset(cause);
      expect(test.greet().serial).toBe('LC-0042');
    }
    expect(test.ask({ type: 'serial', serial: '' }).result).toBe(ReplyResult.done);
    test.board.reset();
    expect(test.greet().serial).toBe('');
  });

  it('is answered only once it is stored', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'serial', serial: '12345678' });
    const eeprom = test.board.eeprom.slice();
    test.board.reset('power on');
    expect(test.greet().serial).toBe('12345678');
    expect(test.board.eeprom).toEqual(eeprom);
  });

  it('is not believed when the memory is damaged', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'serial', serial: 'LC-0042' });
    test.board.eeprom[3]! ^= 0x04;
    test.board.reset();
    expect(test.greet().serial).toBe('');
  });

  it('wears only the cells that change', () => {
    const writes: number[] = [];
    const cells = new Uint8Array(1024).fill(0xff);
    const eeprom = new Proxy(cells, {
      get: (target, key) => {
        const value = Reflect.get(target, key, target);
        return typeof value === 'function' ? value.bind(target) : value;
      },
      set: (target, key, value) => {
        writes.push(Number(key));
        return Reflect.set(target, key, value, target);
      },
    });
    const test = new TestBoard({ eeprom });
    test.greet();
    test.ask({ type: 'serial', serial: 'AAAAAAAA' });
    expect(new Set(writes)).toEqual(new Set([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]));
    writes.length = 0;
    test.ask({ type: 'serial', serial: 'AAAAAAAA' });
    expect(writes).toEqual([]);
    test.ask({ type: 'serial', serial: 'AAABAAAA' });
    expect(writes.every((address) => address === 3 || address >= 8)).toBe(true);
    expect(writes).toContain(3);
  });

  it('costs the stream nothing while it is written', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'start' });
    test.run(20);
    test.forget();
    test.ask({ type: 'serial', serial: 'STREAMED' });
    test.run(50);
    expect(test.sequenceJumps).toEqual([]);
    const blocks = test.of('samples');
    expect(blocks.length).toBeGreaterThan(15);
    blocks.slice(1).forEach((block, index) => {
      expect(block.index - blocks[index]!.index).toBe(128);
      expect(block.lost).toBe(0);
    });
  });
});

describe('commands', () => {
  it('are all understood as the vectors hold them', () => {
    const test = new TestBoard();
    test.greet();
    for (const { command, name } of vectors.commands) {
      const { tag: _, ...untagged } = command;
      const { result } = test.ask(untagged);
      // The longest pulse would run for 18 minutes beside the shortest ones that are under way.
      const expected = name === 'longest pulse' ? ReplyResult.busy : ReplyResult.done;
      expect(result, name).toBe(expected);
    }
    expect(test.of('status').at(-1)!.commandsRefused).toBe(0);
  });

  it('are refused or counted as the vectors say', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'hello' }); // before its first good command the board looks for another speed
    for (const vector of vectors.refusedByBoard) {
      const before = test.of('reply').length;
      test.board.receive(fromHex(vector.hex));
      test.run(20);
      const replies = test.of('reply').slice(before);
      if (vector.refused) expect(replies, vector.name).toMatchObject([vector.refused]);
      else expect(replies, vector.name).toEqual([]);
    }
    test.run(600);
    const status = test.of('status').at(-1)!;
    expect(status.commandsRefused).toBe(vectors.refusedByBoard.length);
    expect(status.commandBytesLost).toBe(0);
  });

  it('may be repeated without harm', () => {
    const test = new TestBoard();
    test.greet();
    for (const type of ['start', 'start', 'stop', 'stop'] as const) {
      expect(test.ask({ type }).result).toBe(ReplyResult.done);
      test.run(20);
    }
    const indexes = test.of('samples').map((block) => block.index);
    expect(indexes).toEqual(indexes.map((_, position) => 128 * position));
  });

  it('change no channel while the stream runs, unless it is the same', () => {
    const test = new TestBoard();
    test.greet();
    expect(test.ask({ type: 'channels', mask: 3 }).result).toBe(ReplyResult.done);
    test.ask({ type: 'start' });
    expect(test.ask({ type: 'channels', mask: 3 }).result).toBe(ReplyResult.done);
    expect(test.ask({ type: 'channels', mask: 1 }).result).toBe(ReplyResult.busy);
    expect(test.ask({ type: 'channels', mask: 0 }).result).toBe(ReplyResult.badValue);
    expect(test.ask({ type: 'channels', mask: 8 }).result).toBe(ReplyResult.badValue);
  });
});
