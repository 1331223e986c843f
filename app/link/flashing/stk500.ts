/**
 * Commands and answers of STK500 version 1, as far as boot loaders of hobby boards speak it.
 * Source: Microchip (Atmel) application note AVR061, STK500 Communication Protocol.
 *
 * A command ends with END_OF_COMMAND; its answer is IN_SYNC, its data if any, and OK. There is no checksum: what
 * matters is read back.
 */

/** Bytes in a page of program memory (data sheet of the ATmega328P, table "No. of words in a page": 64 words). */
export const PAGE_BYTES = 128;

export const IN_SYNC = 0x14;
export const OK = 0x10;

const END_OF_COMMAND = 0x20;
const FLASH_MEMORY = 0x46; // 'F'

const command = (...bytes: readonly number[]): Uint8Array => Uint8Array.of(...bytes, END_OF_COMMAND);

/** Answered without data. */
export const GET_SYNC = command(0x30);
export const ENTER_PROGRAMMING = command(0x50);
export const LEAVE_PROGRAMMING = command(0x51);
/** Answered with three bytes. */
export const READ_SIGNATURE = command(0x75);

/** `byteAddress`: even; the wire has words, the low byte first. Answered without data. */
export function loadAddress(byteAddress: number): Uint8Array {
  const word = byteAddress / 2;
  return command(0x55, word & 0xff, word >> 8);
}

/** Writes a page of program memory at the address loaded before; lengths are high byte first. No data in the answer. */
export function programPage(bytes: Uint8Array): Uint8Array {
  return command(0x64, bytes.length >> 8, bytes.length & 0xff, FLASH_MEMORY, ...bytes);
}

/** Answered with so many bytes of program memory from the address loaded before. */
export function readPage(length: number): Uint8Array {
  return command(0x74, length >> 8, length & 0xff, FLASH_MEMORY);
}

export interface Answer {
  readonly data: Uint8Array;
  /** Bytes before it that belong to no answer. */
  readonly stray: number;
}

/**
 * Looks for an answer with `dataLength` bytes of data in what has come so far; null when it is not there yet. Bytes
 * before it are passed over, and after a false start the search goes on with the byte behind that.
 */
export function findAnswer(received: Uint8Array, dataLength: number): Answer | null {
  const last = received.length - (dataLength + 2);
  for (let start = 0; start <= last; start++) {
    if (received[start] !== IN_SYNC || received[start + dataLength + 1] !== OK) continue;
    return { data: received.slice(start + 1, start + 1 + dataLength), stray: start };
  }
  return null;
}
