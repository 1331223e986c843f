import { avrInstruction, CPU } from 'avr8js';
import { EventQueue, ScheduledEvent } from './event-queue.ts';

/** Flag, enable bit and vector of one interrupt, as avr8js wants them. */
export type Interrupt = Parameters<CPU['setInterruptFlag']>[0];

/** SRAM of an ATmega328P (data sheet 8.3): 2 KiB from 0x100 on. */
const SRAM_BYTES = 2048;
export const SRAM_START = 0x100;
const SREG = 0x5f;
const INTERRUPTS_ENABLED = 0x80;
const SMCR = 0x53;
const SLEEP_ENABLE = 0x01;
const SLEEP_MODE = 0x0e;

/** Instructions the loop must know about, besides executing them; all others are 0. */
const SHADOWS_INTERRUPTS = 1;
const SLEEPS = 2;
const CLEARS_IO_BIT = 3;
const STORES_PROGRAM = 4;

const kindOfOpcode = new Uint8Array(0x10000);
kindOfOpcode[0x9478] = SHADOWS_INTERRUPTS; // SEI
kindOfOpcode[0x9518] = SHADOWS_INTERRUPTS; // RETI
kindOfOpcode[0x9588] = SLEEPS;
kindOfOpcode.fill(CLEARS_IO_BIT, 0x9800, 0x9900); // CBI
kindOfOpcode[0x95e8] = STORES_PROGRAM; // SPM

/**
 * The AVR core: instructions are avr8js's; events, interrupt response and sleep are ours. What differs
 * from avr8js, with the section of the data sheet (Atmel-8271, ATmega48A to 328P) that asks for it:
 *
 * - interrupt response takes 4 cycles, and 4 more out of sleep (7.7.1); avr8js takes 2
 * - the instruction after SEI or RETI runs before a pending interrupt (7.7)
 * - SLEEP stops the core until an interrupt (10.2), and the emulation skips that time
 * - CBI takes 2 cycles (instruction set summary); avr8js takes 1
 * - all events that are due happen before the next instruction; avr8js handles one per instruction
 *
 * The state after a given cycle doesn't depend on how the calls of `run` divide the time before it.
 */
export class Core extends CPU {
  readonly events = new EventQueue();
  /** Cycles slept through, for figures of CPU load. */
  idleCycles = 0;
  /** What SPM does, which avr8js leaves out: self-programming attaches to it. */
  onStore: () => void = () => {};
  #sleeping = false;
  #until = 0;

  /** `program`: 16384 words of program memory, 0xffff where nothing is programmed. */
  constructor(program: Uint16Array, startCycle = 0) {
    super(program, SRAM_BYTES);
    this.cycles = startCycle;
  }

  /** The door by which avr8js's own EEPROM part schedules. */
  override addClockEvent(callback: () => void, cycles: number): () => void {
    this.events.schedule(new ScheduledEvent(callback), this.cycles + Math.max(1, cycles));
    return callback;
  }

  /** Runs whole instructions until `until` is reached or just passed. */
  run(until: number): void {
    const { progMem: program, events } = this;
    this.#until = until;
    while (this.cycles < this.#until) {
      if (this.#sleeping) {
        this.#sleep(until);
        continue;
      }
      const kind = kindOfOpcode[program[this.pc]!]!;
      if (kind === SLEEPS) this.#fallAsleep();
      else if (kind === STORES_PROGRAM) this.onStore();
      avrInstruction(this);
      if (kind === CLEARS_IO_BIT) this.cycles++;
      if (events.nextCycle <= this.cycles) events.runDue(this.cycles);
      if (this.nextInterrupt >= 0 && kind !== SHADOWS_INTERRUPTS) this.#respond();
    }
  }

  /** Ends `run` after the instruction under way: the chip is being reset, and another core takes over. */
  stop(): void {
    this.#until = 0;
  }

  #respond(): void {
    if (this.#sleeping || !(this.data[SREG]! & INTERRUPTS_ENABLED)) return;
    super.tick(); // pushes the program counter and jumps: 2 cycles there
    this.cycles += 2;
  }

  #fallAsleep(): void {
    const control = this.data[SMCR]!;
    if (!(control & SLEEP_ENABLE)) return;
    if (control & SLEEP_MODE) throw new Error('The emulated board knows no sleep mode but idle.');
    this.#sleeping = true;
  }

  #sleep(until: number): void {
    const awake = () => this.nextInterrupt >= 0 && this.data[SREG]! & INTERRUPTS_ENABLED;
    if (!awake()) {
      const wake = Math.min(this.events.nextCycle, until);
      if (wake > this.cycles) {
        this.idleCycles += wake - this.cycles;
        this.cycles = wake;
      }
      this.events.runDue(this.cycles);
    }
    if (!awake()) return;
    this.#sleeping = false;
    this.cycles += 4;
    this.#respond();
  }
}
