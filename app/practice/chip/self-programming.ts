import type { Core } from './core.ts';
import { ScheduledEvent } from './event-queue.ts';

const SPMCSR = 0x57;
const EECR = 0x3f;
const EEPE = 0x02;

const RWWSB = 0x40;
const RWWSRE = 0x10;
const PGWRT = 0x04;
const PGERS = 0x02;
const SELFPRGEN = 0x01;
/** Interrupt, signature row and lock bits, which no boot loader here needs. */
const NOT_HERE = 0x80 | 0x20 | 0x08;

/** Pointer Z, which says which word or page is meant (27.7). */
const Z = 30;

const ERASED_WORD = 0xffff;
/** 64 words a page (28.5, Page Size). */
const PAGE_WORDS = 64;
/** Below this the section can be read while it is not being written, and not meanwhile: RWW (27.4, Read-While-Write Limit). */
const NO_READ_WHILE_WRITE = 0x7000 / 2;
/** Flash write or page erase by software takes 3.7 to 4.5 ms (27.8, Programming Time for Flash when Using SPM). */
const WRITE_SECONDS = 4.5e-3;
/** SPM must follow the write to SPMCSR within so many cycles (27.9). */
const ARMED_CYCLES = 4;

export interface BootLoaderSection {
  /** Intel HEX text, or 16384 words; what lies below `start` counts for nothing. */
  readonly image: string | Uint16Array;
  /** Byte address at which it begins and at which the chip starts after a reset (fuses BOOTSZ and BOOTRST). */
  readonly start: number;
  /** Lock bit BLB11, with which boards are delivered: SPM can't write to the section (27.5). True when left out. */
  readonly locked?: boolean;
  /** Told of every page that was to be erased or written in the section, locked or not. */
  readonly onWriteToSection?: (byteAddress: number) => void;
}

/**
 * Self-programming, data sheet 27: the page buffer, page erase and page write by SPM. The core runs on a copy of the
 * flash: while the read-while-write section is busy, or has not been enabled again, the copy reads 0xffff there, where
 * a chip would read anything (27.4).
 */
export class SelfProgramming {
  readonly #core: Core;
  readonly #flash: Uint16Array;
  readonly #section: BootLoaderSection;
  readonly #writeCycles: number;
  readonly #buffer = new Uint16Array(PAGE_WORDS).fill(ERASED_WORD);
  /** A word of the buffer can be filled once until the buffer is erased (27.8, Filling the Temporary Buffer). */
  readonly #filled = new Set<number>();
  readonly #done = new ScheduledEvent(() => this.#finish());
  readonly #disarm = new ScheduledEvent(() => this.#forget());
  /** What SPM will do; 0 when it does nothing. */
  #armed = 0;

  /** `flash`: all of program memory, 16384 words; what is written goes there. */
  constructor(core: Core, flash: Uint16Array, section: BootLoaderSection, clockHz: number) {
    this.#core = core;
    this.#flash = flash;
    this.#section = section;
    this.#writeCycles = WRITE_SECONDS * clockHz;
    core.writeHooks[SPMCSR] = (value) => this.#control(value);
    core.onStore = () => this.#store();
  }

  #control(value: number): boolean {
    const { data, cycles, events } = this.#core;
    if (value & NOT_HERE)
      throw new Error('The emulated self-programming knows neither interrupt nor lock bits.');
    // Not while a page is being erased or written, nor the EEPROM (27.8, EEPROM Write Prevents Writing to SPMCSR).
    if (this.#done.waiting || data[EECR]! & EEPE) return true;
    data[SPMCSR] = (data[SPMCSR]! & RWWSB) | (value & ~RWWSB);
    this.#armed = value & SELFPRGEN ? value & (RWWSRE | PGWRT | PGERS | SELFPRGEN) : 0;
    if (this.#armed) events.schedule(this.#disarm, cycles + ARMED_CYCLES + 1);
    return true;
  }

  #forget(): void {
    this.#armed = 0;
    this.#core.data[SPMCSR]! &= RWWSB;
  }

  #store(): void {
    const { data, dataView, events, pc } = this.#core;
    const what = this.#armed;
    events.cancel(this.#disarm);
    // Only from within the boot loader section (27.3).
    if (what === 0 || 2 * pc < this.#section.start) {
      this.#forget();
      return;
    }
    const word = dataView.getUint16(Z, true) >> 1;
    switch (what) {
      case SELFPRGEN | RWWSRE:
        data[SPMCSR]! &= ~RWWSB;
        this.#emptyBuffer();
        this.#core.progMem.set(this.#flash.subarray(0, NO_READ_WHILE_WRITE));
        break;
      case SELFPRGEN | PGERS:
      case SELFPRGEN | PGWRT:
        this.#write(word - (word % PAGE_WORDS), what === (SELFPRGEN | PGERS));
        return;
      case SELFPRGEN:
        this.#fill(word, data[0]! | (data[1]! << 8));
        break;
      default: // no other combination has an effect (27.9)
    }
    this.#forget();
  }

  #fill(word: number, value: number): void {
    const place = word % PAGE_WORDS;
    if (this.#filled.has(place)) return;
    this.#filled.add(place);
    this.#buffer[place] = value;
  }

  #emptyBuffer(): void {
    this.#buffer.fill(ERASED_WORD);
    this.#filled.clear();
  }

  #write(page: number, erase: boolean): void {
    const { data, cycles, events, progMem } = this.#core;
    const flash = this.#flash;
    const { start, locked = true, onWriteToSection } = this.#section;
    const inSection = 2 * page >= start;
    if (inSection) onWriteToSection?.(2 * page);
    if (!(inSection && locked)) {
      for (let i = 0; i < PAGE_WORDS; i++) {
        if (erase) flash[page + i] = ERASED_WORD;
        else flash[page + i]! &= this.#buffer[i]!; // writing can only clear bits
      }
    }
    if (!erase) this.#emptyBuffer(); // by hardware, after a page write (27.8, Filling the Temporary Buffer)
    this.#armed = 0;
    if (page < NO_READ_WHILE_WRITE) {
      data[SPMCSR]! |= RWWSB;
      progMem.fill(ERASED_WORD, 0, NO_READ_WHILE_WRITE);
      events.schedule(this.#done, cycles + this.#writeCycles);
    } else {
      this.#core.cycles += this.#writeCycles; // the core stands still meanwhile (27.4)
      progMem.set(flash.subarray(page, page + PAGE_WORDS), page);
      this.#forget();
    }
  }

  #finish(): void {
    this.#core.data[SPMCSR]! &= RWWSB;
  }
}
