import { describe, expect, it } from 'vitest';
import { readHexImage } from '../../../app/practice/chip/hex-image.ts';

/** A record with its checksum. */
function record(type: number, address: number, data: readonly number[]): string {
  const bytes = [data.length, address >> 8, address & 0xff, type, ...data];
  const checksum = -bytes.reduce((sum, byte) => sum + byte, 0) & 0xff;
  return `:${[...bytes, checksum].map((byte) => byte.toString(16).padStart(2, '0')).join('')}`;
}
const END = ':00000001FF';

describe('hex image', () => {
  it('puts bytes where they belong, low byte first, and leaves the rest erased', () => {
    const words = readHexImage([record(0, 4, [0x12, 0x34, 0x56]), END, ''].join('\r\n'));
    expect(words).toHaveLength(16_384);
    expect([...words.subarray(0, 5)]).toEqual([0xffff, 0xffff, 0x3412, 0xff56, 0xffff]);
  });

  it('follows segment and linear addresses, and ignores where the program starts', () => {
    const words = readHexImage(
      [
        record(2, 0, [0x01, 0x00]), // 0x1000
        record(0, 2, [1, 0]),
        record(4, 0, [0, 0]),
        record(0, 2, [2, 0]),
        record(3, 0, [0, 0, 0, 0]),
        record(5, 0, [0, 0, 0, 0]),
        END,
      ].join('\n'),
    );
    expect(words[0x801]).toBe(1);
    expect(words[1]).toBe(2);
  });

  it.each([
    ['a wrong checksum', [':0300300002337A1F', END], /line 1: the checksum is wrong/],
    ['a line that is no record', [record(0, 0, [1]), 'hello', END], /line 2: .*colon/],
    ['odd digits', [':0000000', END], /line 1: .*pairs/],
    ['letters that are no digits', [':00000001GG', END], /line 1: .*pairs/],
    ['a short record', [':0400000001FB', END], /line 1: .*shorter or longer/],
    ['an unknown type', [record(9, 0, []), END], /line 1: record type 9/],
    ['an address outside', [record(4, 0, [0, 1]), record(0, 0, [1]), END], /line 2: .*0x10000 lies outside/],
    ['the same byte twice', [record(0, 8, [1, 2]), record(0, 9, [3]), END], /line 2: .*0x9 is given twice/],
    ['a bad address record', [record(4, 0, [1]), END], /line 1: .*two bytes/],
    ['text after the end', [END, record(0, 0, [1])], /line 2: something follows/],
    ['no end', [record(0, 0, [1])], /end-of-file record is missing/],
    ['nothing at all', [''], /end-of-file record is missing/],
  ])('refuses %s by line', (_name, lines, message) => {
    expect(() => readHexImage(lines.join('\n'))).toThrow(message);
  });

  it('refuses every single damaged digit of a good file', () => {
    const good = [record(0, 0, [0xde, 0xad, 0xbe, 0xef]), END].join('\n');
    expect(() => readHexImage(good)).not.toThrow();
    for (let at = 0; at < good.length; at++) {
      if (!/[0-9a-f]/i.test(good[at]!)) continue;
      const other = good[at] === '0' ? '1' : '0';
      expect(() => readHexImage(good.slice(0, at) + other + good.slice(at + 1))).toThrow();
    }
  });
});
