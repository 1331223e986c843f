import type { BoardLine } from './board-line.ts';
import { resetIntoBootLoader, synchronise } from './boot-loader-search.ts';
import { isKnownChip } from './chips.ts';
import type { Page } from './firmware-image.ts';
import { FlashError } from './firmware-report.ts';
import { loadAddress, programPage, READ_SIGNATURE, readPage } from './stk500.ts';

/** How often one thing is tried before the line counts as damaged. */
const TRIES = 5;
/** How often in all the boot loader may have to be found again. */
const MOST_TROUBLES = 40;
const RESETS = 3;

/**
 * A boot loader that has answered. What goes wrong on the line is mended here: first by synchronising again, and when
 * the boot loader has given up or hangs in half a command, by a reset. Then the whole of what was asked is repeated,
 * the address with it, since the boot loader may have lost that.
 */
export class BootLoader {
  readonly #line: BoardLine;
  #troubles = 0;

  constructor(line: BoardLine) {
    this.#line = line;
  }

  /** Three bytes: those of a chip that is known, or such as came twice alike. */
  async readSignature(): Promise<Uint8Array> {
    let before = '';
    return this.#repeat(async () => {
      const signature = (await this.#line.exchange(READ_SIGNATURE, 3))?.data;
      if (!signature) return null;
      if (isKnownChip(signature) || before === signature.join()) return signature;
      before = signature.join();
      return null;
    });
  }

  async writePage({ address, bytes }: Page): Promise<void> {
    await this.#repeat(async () => {
      if (!(await this.#line.exchange(loadAddress(address), 0))) return null;
      return this.#line.exchange(programPage(bytes), 0);
    });
  }

  /** Whether the board holds just this page. What is read differently is read again before it is believed. */
  async holds(page: Page): Promise<boolean> {
    for (let attempt = 0; attempt < 2; attempt++) {
      const read = await this.#readPage(page);
      if (page.bytes.every((byte, i) => byte === read[i])) return true;
    }
    return false;
  }

  #readPage({ address, bytes }: Page): Promise<Uint8Array> {
    return this.#repeat(async () => {
      if (!(await this.#line.exchange(loadAddress(address), 0))) return null;
      const answer = await this.#line.exchange(readPage(bytes.length), bytes.length);
      return answer?.data ?? null;
    });
  }

  /** `ask` answers null when it was not answered. */
  async #repeat<Found>(ask: () => Promise<Found | null>): Promise<Found> {
    for (let attempt = 0; attempt < TRIES; attempt++) {
      const found = await ask();
      if (found !== null) return found;
      await this.#findAgain();
    }
    throw lineDamaged();
  }

  async #findAgain(): Promise<void> {
    if (++this.#troubles > MOST_TROUBLES) throw lineDamaged();
    await this.#line.settle();
    if (await synchronise(this.#line)) return;
    for (let reset = 0; reset < RESETS; reset++) {
      if (await resetIntoBootLoader(this.#line)) return;
    }
    throw lineDamaged();
  }
}

const lineDamaged = () =>
  new FlashError(
    'line damaged',
    'The board’s answers came damaged or not at all, again and again. Use a short cable, plugged straight into the computer, and repeat it: the board’s boot loader is untouched.',
  );
