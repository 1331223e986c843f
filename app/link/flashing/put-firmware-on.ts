/**
 * This folder puts the firmware on a board: an STK500v1 client (Microchip AVR061) for the boot loaders that hobby
 * boards carry, over the same ports that readings come by.
 *
 * Nothing but pages of program memory below the boot loader is ever written: no fuse, no lock bit, no EEPROM. So a
 * board that was left half-written still has its boot loader, and everything here may be done again.
 */
import type { BoardPort } from '../port.ts';
import { BoardLine } from './board-line.ts';
import { BootLoader } from './boot-loader.ts';
import { findBootLoader } from './boot-loader-search.ts';
import { chipOf } from './chips.ts';
import { type FirmwareImage, firmwareImage } from './firmware-image.ts';
import { FlashError, type FlashProgress, type FlashReport } from './firmware-report.ts';
import { type LineTime, pageTime } from './line-time.ts';
import { LEAVE_PROGRAMMING } from './stk500.ts';

export interface FlashOptions {
  readonly onProgress?: (progress: FlashProgress) => void;
  /** Ends it with FlashError 'given up'. */
  readonly signal?: AbortSignal;
  /** The page's own clock when left out. */
  readonly time?: LineTime;
}

/** A pass writes what the pass before found different; a fault that comes again in each of them stays. */
const PASSES = 4;

/**
 * Puts the firmware on a board and reads all of it back. `port`: closed; it is closed again afterwards, whatever
 * happens. `image`: Intel HEX text.
 * @throws FlashError, with a sentence that says what to do.
 */
export async function putFirmwareOn(
  port: BoardPort,
  image: string,
  { onProgress, signal, time = pageTime }: FlashOptions = {},
): Promise<FlashReport> {
  const firmware = firmwareImage(image);
  const line = new BoardLine(port, time, signal);
  const tell = (step: FlashProgress['step'], done = 0, total = 0) => onProgress?.({ step, done, total });
  try {
    tell('looking for the boot loader');
    const baudRate = await findBootLoader(line);
    const bootLoader = new BootLoader(line);
    const chip = chipOf(await bootLoader.readSignature());
    firmware.checkFits(baudRate);
    await writeAndVerify(bootLoader, firmware, tell);
    tell('starting');
    // The firmware is there and was read back: what happens to this last command changes nothing.
    await line.exchange(LEAVE_PROGRAMMING, 0).catch(() => null);
    return { chip, baudRate, bytes: firmware.bytes.length };
  } finally {
    await line.close();
  }
}

/** Only a pass that reads everything back, with nothing written since, counts. */
async function writeAndVerify(
  bootLoader: BootLoader,
  { pages, bytes }: FirmwareImage,
  tell: (step: FlashProgress['step'], done: number, total: number) => void,
): Promise<void> {
  let wrong = pages;
  for (let pass = 0; pass < PASSES; pass++) {
    let done = 0;
    const total = wrong.reduce((sum, page) => sum + page.bytes.length, 0);
    tell('writing', done, total);
    for (const page of wrong) {
      await bootLoader.writePage(page);
      done += page.bytes.length;
      tell('writing', done, total);
    }
    wrong = [];
    done = 0;
    tell('verifying', done, bytes.length);
    for (const page of pages) {
      if (!(await bootLoader.holds(page))) wrong = [...wrong, page];
      done += page.bytes.length;
      tell('verifying', done, bytes.length);
    }
    if (wrong.length === 0) return;
  }
  throw new FlashError(
    'verify failed',
    `What the board holds is not what was written, at ${wrong.length} of ${pages.length} places. ` +
      'Try again with another cable, plugged straight into the computer. If it fails again at the same place, the chip is worn out or damaged.',
  );
}
