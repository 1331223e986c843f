import { describe, expect, it } from 'vitest';
import { Core } from '../../../app/practice/chip/core.ts';
import { SelfProgramming } from '../../../app/practice/chip/self-programming.ts';
import { write } from './small-programs.ts';

const SPMCSR = 0x57;
const RWWSB = 0x40;
const RWWSRE = 0x10;
const PGWRT = 0x04;
const PGERS = 0x02;
const SELFPRGEN = 0x01;
const SPM = 0x95e8;
const CLOCK_HZ = 16_000_000;
/** 4.5 ms, the longest time of a page erase or write by SPM in the data sheet (27.8). */
const BUSY = 72_000;
const START = 0x7e00;

/** A core that stands at an SPM in its boot loader; `at`: byte address of that SPM. */
function setUp({ locked = false, at = START }: { locked?: boolean; at?: number } = {}) {
  const flash = Uint16Array.from({ length: 0x4000 }, (_, word) => word & 0x0fff);
  flash[at / 2] = SPM;
  const core = new Core(flash.slice());
  const sectionWrites: number[] = [];
  new SelfProgramming(
    core,
    flash,
    { image: flash, start: START, locked, onWriteToSection: (address) => sectionWrites.push(address) },
    CLOCK_HZ,
  );
  /** Writes SPMCSR and executes SPM with Z and r1:r0. */
  const store = (control: number, z: number, value = 0, wait = 0) => {
    core.dataView.setUint16(30, z, true);
    core.dataView.setUint16(0, value, true);
    write(core, SPMCSR, control);
    core.cycles += wait;
    core.events.runDue(core.cycles);
    core.pc = at / 2;
    core.run(core.cycles + 1);
  };
  const finish = () => {
    core.cycles += BUSY;
    core.events.runDue(core.cycles);
  };
  return { core, flash, store, finish, sectionWrites };
}

const page = (memory: Uint16Array, byteAddress: number) => [
  ...memory.subarray(byteAddress / 2, byteAddress / 2 + 64),
];
const ERASED = new Array(64).fill(0xffff);

describe('a page', () => {
  it('is erased, filled into the buffer word by word, and written', () => {
    const { core, flash, store, finish } = setUp();
    store(SELFPRGEN | PGERS, 0x280);
    expect(core.data[SPMCSR]! & SELFPRGEN).toBe(SELFPRGEN);
    finish();
    expect(core.data[SPMCSR]! & SELFPRGEN).toBe(0);
    expect(page(flash, 0x280)).toEqual(ERASED);
    const words = Array.from({ length: 64 }, (_, i) => 0x1234 + 7 * i);
    for (const [i, word] of words.entries()) store(SELFPRGEN, 0x280 + 2 * i, word);
    store(SELFPRGEN | PGWRT, 0x280);
    finish();
    store(SELFPRGEN | RWWSRE, 0);
    expect(page(flash, 0x280)).toEqual(words);
    expect(page(core.progMem, 0x280)).toEqual(words);
    expect(flash[0x280 / 2 - 1]).toBe(0x280 / 2 - 1); // its neighbours are untouched
    expect(flash[0x300 / 2]).toBe(0x300 / 2);
  });

  it('that was not erased only loses bits', () => {
    const { flash, store, finish } = setUp();
    const before = flash[0x100 / 2]!;
    store(SELFPRGEN, 0x100, 0xf0f3);
    store(SELFPRGEN | PGWRT, 0x100);
    finish();
    expect(flash[0x100 / 2]).toBe(before & 0xf0f3);
    expect(flash[0x102 / 2]).toBe(0x102 / 2); // the rest of the buffer is 0xffff
  });

  it('takes a word of its buffer once, until the buffer is emptied by writing or by RWWSRE', () => {
    const { flash, store, finish } = setUp();
    store(SELFPRGEN | PGERS, 0);
    finish();
    store(SELFPRGEN, 0, 0x1111);
    store(SELFPRGEN, 0, 0x2222);
    store(SELFPRGEN | PGWRT, 0);
    finish();
    expect(flash[0]).toBe(0x1111);
    store(SELFPRGEN, 2, 0x3333);
    store(SELFPRGEN | RWWSRE, 0);
    store(SELFPRGEN | PGWRT, 0);
    finish();
    expect(flash[1]).toBe(0xffff);
  });
});

describe('the read-while-write section', () => {
  it('can’t be read from the beginning of an erase until it is enabled again', () => {
    const { core, store, finish } = setUp();
    store(SELFPRGEN | PGERS, 0x280);
    expect(core.data[SPMCSR]! & RWWSB).toBe(RWWSB);
    expect(core.progMem[0]).toBe(0xffff);
    finish();
    expect(core.data[SPMCSR]! & RWWSB).toBe(RWWSB);
    expect(core.progMem[0x6fff / 2 - 0.5]).toBe(0xffff);
    store(SELFPRGEN | RWWSRE, 0);
    expect(core.data[SPMCSR]! & RWWSB).toBe(0);
    expect(core.progMem[1]).toBe(1);
    expect(page(core.progMem, 0x280)).toEqual(ERASED);
  });

  it('of what lies above 0x7000 the core waits for, standing still', () => {
    const { core, flash, store } = setUp();
    const before = core.cycles;
    store(SELFPRGEN | PGERS, 0x7000);
    expect(core.cycles - before).toBeGreaterThanOrEqual(BUSY);
    expect(core.data[SPMCSR]).toBe(0);
    expect(page(flash, 0x7000)).toEqual(ERASED);
    expect(page(core.progMem, 0x7000)).toEqual(ERASED);
    expect(core.progMem[1]).toBe(1);
  });
});

describe('nothing happens', () => {
  it('when SPM comes later than four cycles after SPMCSR was written', () => {
    const { flash, store } = setUp();
    store(SELFPRGEN | PGERS, 0x280, 0, 4);
    expect(page(flash, 0x280)).toEqual(ERASED);
    const late = setUp();
    late.store(SELFPRGEN | PGERS, 0x280, 0, 5);
    expect(late.flash[0x280 / 2]).toBe(0x280 / 2);
    expect(late.core.data[SPMCSR]).toBe(0);
  });

  it('when SPM is executed outside of the boot loader section', () => {
    const { flash, store, finish } = setUp({ at: 0x1000 });
    store(SELFPRGEN | PGERS, 0x280);
    finish();
    expect(flash[0x280 / 2]).toBe(0x280 / 2);
  });

  it('when SPMCSR is written while a page is being written, or the EEPROM', () => {
    const { core, flash, store, finish } = setUp();
    store(SELFPRGEN | PGERS, 0x280);
    store(SELFPRGEN | PGERS, 0x380);
    finish();
    expect(flash[0x380 / 2]).toBe(0x380 / 2);
    core.data[0x3f] = 0x02; // EEPE in EECR
    store(SELFPRGEN | PGERS, 0x380);
    expect(flash[0x380 / 2]).toBe(0x380 / 2);
  });

  it('to the boot loader section while its lock bit is set; it is told in any case', () => {
    for (const locked of [true, false]) {
      const { flash, store, sectionWrites } = setUp({ locked });
      store(SELFPRGEN | PGERS, START + 0x80);
      expect(sectionWrites).toEqual([START + 0x80]);
      expect(flash[(START + 0x80) / 2] === 0xffff).toBe(!locked);
    }
  });
});

it('refuses lock bits, signature row and interrupt', () => {
  const { core } = setUp();
  for (const bit of [0x80, 0x20, 0x08]) expect(() => write(core, SPMCSR, SELFPRGEN | bit)).toThrow(/neither/);
});
