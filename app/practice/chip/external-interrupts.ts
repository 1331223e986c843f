import type { Core, Interrupt } from './core.ts';
import type { Port } from './port.ts';

const PCIFR = 0x3b;
const EIFR = 0x3c;
const EIMSK = 0x3d;
const PCICR = 0x68;
const EICRA = 0x69;
const PCMSK0 = 0x6b;

const Sense = { lowLevel: 0, anyChange: 1, fallingEdge: 2, risingEdge: 3 } as const;

/** PD2 is INT0, PD3 is INT1. */
const FIRST_EXTERNAL_PIN = 2;

/** External interrupts INT0 and INT1 and the three groups of pin-change interrupts, data sheet 13. */
export class ExternalInterrupts {
  readonly #core: Core;
  readonly #external: Interrupt[] = [0, 1].map((index) => ({
    address: 0x02 + 2 * index,
    flagRegister: EIFR,
    flagMask: 1 << index,
    enableRegister: EIMSK,
    enableMask: 1 << index,
  }));
  readonly #pinChange: Interrupt[] = [0, 1, 2].map((group) => ({
    address: 0x06 + 2 * group,
    flagRegister: PCIFR,
    flagMask: 1 << group,
    enableRegister: PCICR,
    enableMask: 1 << group,
  }));
  readonly #levels = [false, false];

  constructor(core: Core, portB: Port, portC: Port, portD: Port) {
    this.#core = core;
    for (const [group, port] of [portB, portC, portD].entries()) {
      port.listen((bit) => {
        if (core.data[PCMSK0 + group]! & (1 << bit)) core.setInterruptFlag(this.#pinChange[group]!);
      });
    }
    portD.listen((bit, level) => this.#pinChanged(bit - FIRST_EXTERNAL_PIN, level));
    this.#attachFlags(EIFR, this.#external);
    this.#attachFlags(PCIFR, this.#pinChange);
    this.#attachEnables(EIMSK, this.#external);
    this.#attachEnables(PCICR, this.#pinChange);
    core.writeHooks[EICRA] = (value) => {
      core.data[EICRA] = value;
      this.#refreshLevels();
      return true;
    };
  }

  #sense(index: number): number {
    return (this.#core.data[EICRA]! >> (2 * index)) & 3;
  }

  #pinChanged(index: number, level: boolean): void {
    const interrupt = this.#external[index];
    if (interrupt === undefined) return;
    this.#levels[index] = level;
    const sense = this.#sense(index);
    if (sense === Sense.lowLevel) this.#refreshLevels();
    else if (sense === Sense.anyChange || (sense === Sense.risingEdge) === level) {
      this.#core.setInterruptFlag(interrupt);
    }
  }

  /** A low level asks for its interrupt as long as it lasts, and sets no flag (13.2.1, 13.2.3). */
  #refreshLevels(): void {
    for (const [index, interrupt] of this.#external.entries()) {
      interrupt.constant = this.#sense(index) === Sense.lowLevel;
      if (!interrupt.constant) continue;
      const asks = !this.#levels[index] && this.#core.data[EIMSK]! & interrupt.enableMask;
      if (asks) this.#core.queueInterrupt(interrupt);
      else this.#core.clearInterrupt(interrupt);
    }
  }

  /** Flags are cleared by writing ones; SBI touches its own bit only (instruction set, note on flags). */
  #attachFlags(register: number, interrupts: readonly Interrupt[]): void {
    const core = this.#core;
    core.writeHooks[register] = (value, _old, _address, mask) => {
      for (const interrupt of interrupts) {
        if (value & mask & interrupt.flagMask && !interrupt.constant) core.clearInterrupt(interrupt);
      }
      return true;
    };
  }

  #attachEnables(register: number, interrupts: readonly Interrupt[]): void {
    const core = this.#core;
    core.writeHooks[register] = (value) => {
      core.data[register] = value;
      for (const interrupt of interrupts) core.updateInterruptEnable(interrupt, value);
      this.#refreshLevels();
      return true;
    };
  }
}
