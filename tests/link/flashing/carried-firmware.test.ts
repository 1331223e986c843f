import { expect, it } from 'vitest';
import { CARRIED_VERSION, imageCheck } from '../../../app/link/flashing/carried-firmware.ts';
import { TestBoard } from '../../firmware-protocol/test-board.ts';
import { TESTER_HEX } from '../../practice/tester-firmware.ts';

it('is what the firmware says of itself when it runs', () => {
  const { firmware, image } = new TestBoard().greet();
  expect(CARRIED_VERSION).toBe(firmware);
  expect(imageCheck(TESTER_HEX)).toBe(image);
});

it('has a check value that is a CRC-32 of the bytes', () => {
  // CRC catalogue, CRC-32/ISO-HDLC: "123456789" gives CBF43926.
  const digits = ':09000000313233343536373839';
  const sum = Buffer.from(digits.slice(1), 'hex').reduce((all, byte) => all + byte, 0);
  const last = ((0x100 - (sum & 0xff)) & 0xff).toString(16).padStart(2, '0');
  expect(imageCheck(`${digits}${last}\n:00000001FF\n`)).toBe(0xcbf43926);
});

it('refuses a file that is cut short', () => {
  expect(() => imageCheck(TESTER_HEX.slice(0, 500))).toThrow();
});
