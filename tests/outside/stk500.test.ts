/** The STK500v1 protocol and the chips, against what others have published of them. */
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { chipOf } from '../../app/link/flashing/chips.ts';
import { firmwareImage } from '../../app/link/flashing/firmware-image.ts';
import {
  ENTER_PROGRAMMING,
  GET_SYNC,
  IN_SYNC,
  LEAVE_PROGRAMMING,
  loadAddress,
  OK,
  PAGE_BYTES,
  programPage,
  READ_SIGNATURE,
  readPage,
} from '../../app/link/flashing/stk500.ts';
import { bootLoader } from '../rig/board-programs.ts';

// Microchip AVR061, STK500 Communication Protocol: commands, their order of bytes, and answers.
describe('AVR061', () => {
  it('commands end with Sync_CRC_EOP, 20', () => {
    expect([...GET_SYNC]).toEqual([0x30, 0x20]);
    expect([...ENTER_PROGRAMMING]).toEqual([0x50, 0x20]);
    expect([...LEAVE_PROGRAMMING]).toEqual([0x51, 0x20]);
    expect([...READ_SIGNATURE]).toEqual([0x75, 0x20]);
  });

  it('answers stand between Resp_STK_INSYNC, 14, and Resp_STK_OK, 10', () => {
    expect([IN_SYNC, OK]).toEqual([0x14, 0x10]);
  });

  it('an address is in words, the low byte first', () => {
    expect([...loadAddress(0x7d80)]).toEqual([0x55, 0xc0, 0x3e, 0x20]);
  });

  it('a page is written and read with its length in bytes, the high one first, and F for flash', () => {
    const bytes = Uint8Array.from({ length: 128 }, (_, i) => i);
    expect([...programPage(bytes)]).toEqual([0x64, 0x00, 0x80, 0x46, ...bytes, 0x20]);
    expect([...readPage(128)]).toEqual([0x74, 0x00, 0x80, 0x46, 0x20]);
  });
});

// The list of constants that the boot loader's own source brings along (Debian, arduino-core-avr).
it('the boot loader’s own list of constants has the same values', () => {
  const file = '/usr/share/arduino/hardware/arduino/avr/bootloaders/optiboot/stk500.h';
  const listed = Object.fromEntries(
    [...fs.readFileSync(file, 'latin1').matchAll(/^#define (\w+)\s+0x([0-9A-F]+)/gm)].map(([, name, hex]) => [
      name,
      Number.parseInt(hex!, 16),
    ]),
  );
  expect(listed).toMatchObject({
    STK_OK: OK,
    STK_INSYNC: IN_SYNC,
    CRC_EOP: GET_SYNC[1],
    STK_GET_SYNC: GET_SYNC[0],
    STK_ENTER_PROGMODE: ENTER_PROGRAMMING[0],
    STK_LEAVE_PROGMODE: LEAVE_PROGRAMMING[0],
    STK_LOAD_ADDRESS: loadAddress(0)[0],
    STK_PROG_PAGE: programPage(new Uint8Array(128))[0],
    STK_READ_PAGE: readPage(128)[0],
    STK_READ_SIGN: READ_SIGNATURE[0],
  });
});

// Signature bytes as in the data sheets; that of the ATmega328PB, which avr-libc 2.0.0 doesn't know, from memory.
it('signatures', () => {
  expect(chipOf(Uint8Array.of(0x1e, 0x95, 0x0f))).toBe('ATmega328P');
  expect(chipOf(Uint8Array.of(0x1e, 0x95, 0x14))).toBe('ATmega328');
  expect(chipOf(Uint8Array.of(0x1e, 0x95, 0x16))).toBe('ATmega328PB');
});

describe('avr-libc', () => {
  it.each([
    ['atmega328p', 'ATmega328P'],
    ['atmega328', 'ATmega328'],
  ])('agrees about signature, page and flash of the %s', (model, name) => {
    const chip = definitions(model);
    const number = (symbol: string) => Number(chip.get(symbol));
    expect(chipOf(Uint8Array.from([0, 1, 2], (i) => number(`SIGNATURE_${i}`)))).toBe(name);
    expect(number('SPM_PAGESIZE')).toBe(PAGE_BYTES);
    expect(number('FLASHEND')).toBe(0x7fff);
  });

  it('has every register, bit and vector that the firmware names in one place for both', () => {
    const [one, other] = [definitions('atmega328p'), definitions('atmega328')];
    const named = [...namesInFirmware()].filter((symbol) => one.has(symbol));
    expect(named.length).toBeGreaterThan(50);
    for (const symbol of named) expect(`${symbol} ${other.get(symbol)}`).toBe(`${symbol} ${one.get(symbol)}`);
  });
});

// The data sheet's table of boot sizes: 256 words from 3F00 on, 1024 words from 3C00 on.
it('the boot loaders end where the flash ends, each in a section of the data sheet’s sizes', () => {
  expect([bootLoader('small').start, bootLoader('older').start]).toEqual([2 * 0x3f00, 2 * 0x3c00]);
});

// Published examples of Intel HEX.
describe('Intel HEX examples', () => {
  it('a record at 0030 is a firmware of one page, padded with FF', () => {
    const { bytes } = firmwareImage(':0300300002337A1E\n:00000001FF\n');
    expect(bytes.length).toBe(PAGE_BYTES);
    expect([...bytes.subarray(0x2f, 0x34)]).toEqual([0xff, 0x02, 0x33, 0x7a, 0xff]);
  });

  it('a record at E000 is none for this chip', () => {
    const text = ':10E0000002E003E4F588758910F58DF58BD28E302A\n:00000001FF\n';
    expect(() => firmwareImage(text)).toThrow(/outside the program memory/);
  });

  it('a wrong checksum is told', () => {
    expect(() => firmwareImage(':0300300002337A1F\n:00000001FF\n')).toThrow(/checksum/);
  });
});

/** What avr/io.h defines for a chip. */
function definitions(model: string): ReadonlyMap<string, string> {
  const text = execFileSync('avr-gcc', [`-mmcu=${model}`, '-E', '-dM', '-'], {
    input: '#include <avr/io.h>\n#include <avr/interrupt.h>\n',
    encoding: 'latin1',
  });
  return new Map([...text.matchAll(/^#define (\w+) (.*)$/gm)].map(([, name, value]) => [name!, value!]));
}

/** Words of the firmware's sources that are written in capitals, as registers, bits and vectors are. */
function namesInFirmware(): ReadonlySet<string> {
  const folder = path.join(import.meta.dirname, '../../firmware-protocol/atmega328p');
  const sources = fs.readdirSync(folder).filter((file) => /\.[ch]$/.test(file));
  const text = sources.map((file) => fs.readFileSync(path.join(folder, file), 'utf8')).join('\n');
  return new Set(text.match(/\b[A-Z][A-Z0-9]+\w*\b/g));
}
