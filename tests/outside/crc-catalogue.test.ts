/**
 * Check values of the 16-bit CRCs of the catalogue of parametrised CRC algorithms, for "123456789". The
 * project uses one of them, X-25; the plain bit-by-bit division here gives them all, and is what the
 * project's table is compared with.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { crc16 } from '../../firmware-protocol/frames.ts';

interface Parameters {
  readonly polynomial: number;
  readonly start: number;
  readonly reflected: boolean;
  readonly final: number;
  readonly check: number;
}

const CATALOGUE: Readonly<Record<string, Parameters>> = {
  'IBM-3740': { polynomial: 0x1021, start: 0xffff, reflected: false, final: 0, check: 0x29b1 },
  XMODEM: { polynomial: 0x1021, start: 0, reflected: false, final: 0, check: 0x31c3 },
  KERMIT: { polynomial: 0x1021, start: 0, reflected: true, final: 0, check: 0x2189 },
  'IBM-SDLC (X-25)': { polynomial: 0x1021, start: 0xffff, reflected: true, final: 0xffff, check: 0x906e },
  MCRF4XX: { polynomial: 0x1021, start: 0xffff, reflected: true, final: 0, check: 0x6f91 },
  ARC: { polynomial: 0x8005, start: 0, reflected: true, final: 0, check: 0xbb3d },
  MODBUS: { polynomial: 0x8005, start: 0xffff, reflected: true, final: 0, check: 0x4b37 },
};

const reverse = (value: number, bits: number) => {
  let reversed = 0;
  for (let bit = 0; bit < bits; bit++) if (value & (1 << bit)) reversed |= 1 << (bits - 1 - bit);
  return reversed;
};

function divide(bytes: Uint8Array, { polynomial, start, reflected, final }: Parameters): number {
  let rest = start;
  for (const byte of bytes) {
    rest ^= (reflected ? reverse(byte, 8) : byte) << 8;
    for (let bit = 0; bit < 8; bit++) rest = ((rest << 1) ^ (rest & 0x8000 ? polynomial : 0)) & 0xffff;
  }
  return (reflected ? reverse(rest, 16) : rest) ^ final;
}

describe('the CRC of the wire', () => {
  const digits = new TextEncoder().encode('123456789');

  it.each(Object.entries(CATALOGUE))('%s has its check value by plain division', (_name, parameters) => {
    expect(divide(digits, parameters)).toBe(parameters.check);
  });

  it('is X-25 and none of the others', () => {
    expect(crc16(digits)).toBe(0x906e);
  });

  it('agrees with plain division for any bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
        expect(crc16(bytes)).toBe(divide(bytes, CATALOGUE['IBM-SDLC (X-25)']!));
      }),
      { seed: 906, numRuns: 300 },
    );
  });
});
