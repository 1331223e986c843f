import type { Core } from './core.ts';
import { ScheduledEvent } from './event-queue.ts';

const MCUSR = 0x54;
const WDTCSR = 0x60;
const WDRF = 0x08;

const WDIE = 0x40;
const WDCE = 0x10;
const WDE = 0x08;
const TIMEOUT_BITS = 0x27;

/** The watchdog's own oscillator (11.8.1), and its shortest time-out in cycles of that (table 11-2): 16 ms. */
const OSCILLATOR_HZ = 128_000;
const SHORTEST_CYCLES = 2048;
/** Enable and time-out may be changed so many cycles after WDCE was set (11.8.2). */
const CHANGE_WINDOW = 4;

/**
 * Watchdog timer in system reset mode, data sheet 11.8; its interrupt raises an error. WDTON is taken as not
 * programmed: enabling needs no timed sequence, disabling and changing the time-out do.
 */
export class Watchdog {
  readonly #core: Core;
  readonly #shortest: number;
  readonly #timeout: ScheduledEvent;
  #changeUntil = -1;

  /** `onTimeout`: a system reset is due. */
  constructor(core: Core, clockHz: number, onTimeout: () => void) {
    this.#core = core;
    this.#shortest = (SHORTEST_CYCLES * clockHz) / OSCILLATOR_HZ;
    this.#timeout = new ScheduledEvent(onTimeout);
    core.writeHooks[WDTCSR] = (value) => this.#control(value);
    core.onWatchdogReset = () => this.#restart();
  }

  /** After a reset, when MCUSR holds its cause: after one of its own making the watchdog runs on (11.9.2, WDE). */
  begin(): void {
    if (this.#core.data[MCUSR]! & WDRF) this.#core.data[WDTCSR]! |= WDE;
    this.#restart();
  }

  #control(value: number): boolean {
    const { data, cycles } = this.#core;
    if (value & WDIE) throw new Error('The emulated watchdog knows no interrupt.');
    const before = data[WDTCSR]!;
    const mayChange = cycles <= this.#changeUntil && !(value & WDCE);
    let now = mayChange ? value & (WDE | TIMEOUT_BITS) : (before & TIMEOUT_BITS) | ((before | value) & WDE);
    if (data[MCUSR]! & WDRF) now |= WDE; // can't be cleared before WDRF is
    this.#changeUntil = value & WDCE && value & WDE ? cycles + CHANGE_WINDOW : -1;
    data[WDTCSR] = now;
    if (mayChange || (now & WDE) !== (before & WDE)) this.#restart();
    return true;
  }

  #restart(): void {
    const { data, cycles, events } = this.#core;
    const control = data[WDTCSR]!;
    const doublings = ((control & 0x20) >> 2) | (control & 0x07);
    if (control & WDE) events.schedule(this.#timeout, cycles + this.#shortest * 2 ** doublings);
    else events.cancel(this.#timeout);
  }
}
