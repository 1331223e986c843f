import { readHexImage } from '../../practice/chip/hex-image.ts';
import { FlashError } from './firmware-report.ts';
import { PAGE_BYTES } from './stk500.ts';

export interface Page {
  /** Byte address in program memory, a multiple of the page length. */
  readonly address: number;
  readonly bytes: Uint8Array;
}

/**
 * Where the boot loader begins, by the speed it speaks: 512 bytes at the end of 32 KiB in the small ones at 115,200,
 * 2 KiB in the older ones at 57,600 (their link addresses in the sources that the tests build).
 */
export const BOOT_LOADER_START: Readonly<Record<number, number>> = { 115200: 0x7e00, 57600: 0x7800 };
const LARGEST_START = Math.max(...Object.values(BOOT_LOADER_START));

const ERASED_WORD = 0xffff;

/** Program memory from its start to the end of the last page that has anything in it. */
export class FirmwareImage {
  readonly bytes: Uint8Array;
  readonly pages: readonly Page[];

  /** `bytes`: whole pages. */
  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
    this.pages = Array.from({ length: bytes.length / PAGE_BYTES }, (_, page) => ({
      address: page * PAGE_BYTES,
      bytes: bytes.subarray(page * PAGE_BYTES, (page + 1) * PAGE_BYTES),
    }));
  }

  /** @throws FlashError 'image does not fit' if the image reaches into the boot loader that speaks at this speed. */
  checkFits(baudRate: number): void {
    const start = BOOT_LOADER_START[baudRate];
    if (start !== undefined && this.bytes.length <= start) return;
    throw new FlashError(
      'image does not fit',
      `The firmware is too large for this board, whose boot loader begins at byte ${start}: the firmware has ${this.bytes.length} bytes. ` +
        'Nothing was written. Use a board with the newer, smaller boot loader.',
    );
  }
}

/** Intel HEX text → pages. @throws FlashError 'image does not fit' when it is damaged, empty or too long for any board. */
export function firmwareImage(text: string): FirmwareImage {
  const words = readWords(text);
  const used = words.findLastIndex((word) => word !== ERASED_WORD) + 1;
  if (used === 0) unusable('it is empty');
  const length = Math.ceil((2 * used) / PAGE_BYTES) * PAGE_BYTES;
  if (length > LARGEST_START) unusable('it reaches into the boot loader');
  const bytes = new Uint8Array(length);
  for (let i = 0; i < length; i++) bytes[i] = words[i >> 1]! >> (8 * (i & 1));
  return new FirmwareImage(bytes);
}

function readWords(text: string): Uint16Array {
  try {
    return readHexImage(text);
  } catch (error) {
    return unusable((error as Error).message);
  }
}

function unusable(why: string): never {
  throw new FlashError(
    'image does not fit',
    `The firmware that came with this page can't be used: ${why.replace(/\.$/, '')}. Nothing was written. Reload the page; if that doesn't help, the page's own files are damaged.`,
  );
}
