import type { Core } from './core.ts';

/** Who drives a pin from outside: a switch to ground, or nobody. */
export type OutsideDrive = 'ground' | 'open';

const MCUCR = 0x55;
const PULL_UPS_DISABLED = 0x10;

/**
 * One port of eight pins, data sheet 14: data direction, pull-ups, toggling by writing to PINx (14.2.2)
 * and a timer's override of an output (14.3). An open input without pull-up reads low, so that firmware
 * that forgot its pull-up doesn't look well by luck. The synchroniser's 1 ½ clocks (14.2.4) are left out.
 */
export class Port {
  readonly #core: Core;
  readonly #pin: number;
  readonly #direction: number;
  readonly #port: number;
  readonly #grounded: boolean[] = new Array(8).fill(false);
  readonly #overrides: (boolean | null)[] = new Array(8).fill(null);
  readonly #listeners: ((bit: number, level: boolean, cycle: number) => void)[] = [];

  /** `pinAddress`: address of PINx; DDRx and PORTx follow it. */
  constructor(core: Core, pinAddress: number) {
    this.#core = core;
    this.#pin = pinAddress;
    this.#direction = pinAddress + 1;
    this.#port = pinAddress + 2;
    const { data } = core;
    core.writeHooks[this.#pin] = (value, _old, _address, mask) => {
      data[this.#port]! ^= value & mask;
      this.#update(core.cycles);
      return true;
    };
    for (const address of [this.#direction, this.#port]) {
      core.writeHooks[address] = (value) => {
        data[address] = value;
        this.#update(core.cycles);
        return true;
      };
    }
  }

  /** Told of every change of a pin, with the cycle it happened at. */
  listen(listener: (bit: number, level: boolean, cycle: number) => void): void {
    this.#listeners.push(listener);
  }

  drive(bit: number, drive: OutsideDrive, cycle: number): void {
    this.#grounded[bit] = drive === 'ground';
    this.#update(cycle);
  }

  /** A timer takes an output over with a level, or gives it back with null. */
  override(bit: number, level: boolean | null, cycle: number): void {
    this.#overrides[bit] = level;
    this.#update(cycle);
  }

  #level(bit: number): boolean {
    const { data } = this.#core;
    const mask = 1 << bit;
    if (data[this.#direction]! & mask) return this.#overrides[bit] ?? (data[this.#port]! & mask) !== 0;
    if (this.#grounded[bit]) return false;
    return (data[this.#port]! & mask) !== 0 && !(data[MCUCR]! & PULL_UPS_DISABLED);
  }

  #update(cycle: number): void {
    const { data } = this.#core;
    const before = data[this.#pin]!;
    let now = 0;
    for (let bit = 0; bit < 8; bit++) if (this.#level(bit)) now |= 1 << bit;
    data[this.#pin] = now;
    const changed = before ^ now;
    if (changed === 0) return;
    for (let bit = 0; bit < 8; bit++) {
      if (!(changed & (1 << bit))) continue;
      for (const listener of this.#listeners) listener(bit, (now & (1 << bit)) !== 0, cycle);
    }
  }
}
