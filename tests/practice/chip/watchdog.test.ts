import { expect, it } from 'vitest';
import { Watchdog } from '../../../app/practice/chip/watchdog.ts';
import { coreWith, read, runOn, write } from './small-programs.ts';

const CLOCK_HZ = 16_000_000;
const MCUSR = 0x54;
const WDTCSR = 0x60;
const WDE = 0x08;
const WDCE = 0x10;
/** 16 ms of the watchdog's 128 kHz oscillator (data sheet, table 11-2). */
const SHORTEST = 256_000;

function setUp() {
  const core = coreWith();
  const timeouts: number[] = [];
  const watchdog = new Watchdog(core, CLOCK_HZ, () => timeouts.push(core.cycles));
  return { core, watchdog, timeouts };
}

it('times out after the time that WDP3 to WDP0 say, from the latest WDR on', () => {
  // Table 11-2 of the data sheet: 16 ms, 32 ms, … 8 s, doubling each time.
  for (let setting = 0; setting <= 9; setting++) {
    const { core, timeouts } = setUp();
    write(core, WDTCSR, WDCE | WDE);
    write(core, WDTCSR, WDE | (setting & 7) | ((setting & 8) << 2));
    core.cycles += 1000;
    core.onWatchdogReset();
    const due = 1000 + SHORTEST * 2 ** setting;
    core.cycles = due - 2;
    runOn(core, due - 1);
    expect(timeouts).toEqual([]);
    runOn(core, due + 1);
    expect(timeouts).toHaveLength(1);
  }
});

it('is turned on without ceremony, and off only in the four cycles after WDCE (11.8.2)', () => {
  const { core, timeouts } = setUp();
  write(core, WDTCSR, WDE);
  write(core, WDTCSR, 0);
  expect(read(core, WDTCSR) & WDE).toBe(WDE);
  write(core, WDTCSR, WDCE | WDE);
  core.cycles += 5;
  write(core, WDTCSR, 0);
  expect(read(core, WDTCSR) & WDE).toBe(WDE);
  write(core, WDTCSR, WDCE | WDE);
  core.cycles += 4;
  write(core, WDTCSR, 0);
  expect(read(core, WDTCSR) & WDE).toBe(0);
  core.cycles = 10 * SHORTEST;
  runOn(core, 10 * SHORTEST + 100);
  expect(timeouts).toEqual([]);
});

it('keeps its time-out, too, outside of those four cycles', () => {
  const { core, timeouts } = setUp();
  write(core, WDTCSR, WDE | 6);
  core.cycles = SHORTEST - 1;
  runOn(core, SHORTEST + 1);
  expect(timeouts).toHaveLength(1);
});

it('runs on after a reset of its own making until WDRF is cleared (11.9.1)', () => {
  const { core, watchdog, timeouts } = setUp();
  core.data[MCUSR] = 0x08;
  watchdog.begin();
  write(core, WDTCSR, WDCE | WDE);
  write(core, WDTCSR, 0);
  expect(read(core, WDTCSR) & WDE).toBe(WDE);
  core.cycles = SHORTEST;
  runOn(core, SHORTEST + 1);
  expect(timeouts).toHaveLength(1);
  write(core, MCUSR, 0);
  write(core, WDTCSR, WDCE | WDE);
  write(core, WDTCSR, 0);
  expect(read(core, WDTCSR) & WDE).toBe(0);
});

it('knows no interrupt', () => {
  const { core } = setUp();
  expect(() => write(core, WDTCSR, 0x40)).toThrow(/no interrupt/);
});
