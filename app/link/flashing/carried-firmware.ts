/** The firmware that this page carries, to be put on boards and to be compared with what is on one. */
import { readHexImage } from '../../practice/chip/hex-image.ts';

/** As the firmware says it of itself in its introduction. */
export const CARRIED_VERSION = '1.1';

/**
 * The check value by which firmware introduces itself (Hello.image): CRC-32 over the program (ISO-HDLC: polynomial
 * 04C11DB7 reflected, all ones at start and end). `image`: Intel HEX text of a program that does not end in FF.
 * @throws Error when it is no sound hex file.
 */
export function imageCheck(image: string): number {
  const bytes = new Uint8Array(readHexImage(image).buffer);
  const end = bytes.findLastIndex((byte) => byte !== 0xff) + 1;
  let crc = 0xffffffff;
  for (const byte of bytes.subarray(0, end)) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return ~crc >>> 0;
}
