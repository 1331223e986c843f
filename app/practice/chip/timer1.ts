import type { Core, Interrupt } from './core.ts';
import { ScheduledEvent } from './event-queue.ts';
import type { Port } from './port.ts';

const TIFR1 = 0x36;
const GTCCR = 0x43;
const TIMSK1 = 0x6f;
const TCCR1A = 0x80;
const TCCR1B = 0x81;
const TCCR1C = 0x82;
const TCNT1 = 0x84;
const ICR1 = 0x86;
const OCR1A = 0x88;
const OCR1B = 0x8a;

const WAVEFORM_A = 0x03;
const WAVEFORM_B = 0x18;
const NOISE_CANCELLER = 0x80;
const RISING_EDGE = 0x40;
const CLOCK_SELECT = 0x07;
const FORCE_A = 0x80;
const FORCE_B = 0x40;
const RESET_PRESCALER = 0x01;
const HOLD_PRESCALER = 0x80;

const OVERFLOW_FLAG = 0x01;
const COMPARE_A_FLAG = 0x02;
const COMPARE_B_FLAG = 0x04;
const CAPTURE_FLAG = 0x20;

/** Prescaler by clock select bits (table 16-5); 0 stops the counter. */
const DIVIDERS = [0, 1, 8, 64, 256, 1024];

/** ICP1, OC1A and OC1B on port B. */
const CAPTURE_PIN = 0;
/** From an edge on the pin to the capture: synchroniser and edge detector, 2.5 to 3.5 clocks (16.6.1, 17.3). */
const EDGE_DETECTOR_CYCLES = 3;
/** The noise canceller wants four equal samples, which also delays by four clocks (16.6.2). */
const NOISE_CANCELLER_CYCLES = 4;

/** What a compare match does to its pin in normal mode (table 16-2). */
const CompareAction = { none: 0, toggle: 1, clear: 2, set: 3 } as const;

interface CompareUnit {
  readonly register: number;
  readonly pin: number;
  /** Position of the unit's two COM bits in TCCR1A. */
  readonly actionShift: number;
  readonly interrupt: Interrupt;
  readonly event: ScheduledEvent;
  value: number;
  output: boolean;
}

const timerInterrupt = (address: number, mask: number): Interrupt => ({
  address,
  flagRegister: TIFR1,
  flagMask: mask,
  enableRegister: TIMSK1,
  enableMask: mask,
});

/**
 * Timer/Counter1 in normal mode with both compare units and input capture, data sheet 16, and the
 * prescaler it counts by, 17. Other waveforms and an external clock raise an error.
 *
 * The counter isn't stepped. Its value follows from the cycle, and events are set for the overflow and
 * the two matches only. The prescaler runs on from reset whatever the timer does (17.1), so writing
 * TCCR1B doesn't shift the ticks.
 */
export class Timer1 {
  readonly #core: Core;
  readonly #port: Port;
  /** TCNT1 at a given tick of the prescaler; from there on it follows from the cycle. */
  #countThen = 0;
  #ticksThen = 0;
  #divider = 0;
  #prescalerStart: number;
  /** High byte of a 16-bit access, shared by all registers (16.3). */
  #temporary = 0;
  /** A write to TCNT1 blocks the match of the next tick (16.7.2). */
  #matchBlocked = false;
  #filteredLevel = false;

  readonly #overflow = timerInterrupt(0x1a, OVERFLOW_FLAG);
  readonly #capture = timerInterrupt(0x14, CAPTURE_FLAG);
  readonly #overflowEvent = new ScheduledEvent(() => {
    this.#core.setInterruptFlag(this.#overflow);
    this.#scheduleOverflow();
  });
  readonly #compareA: CompareUnit = this.#compareUnit(OCR1A, 1, 6, timerInterrupt(0x16, COMPARE_A_FLAG));
  readonly #compareB: CompareUnit = this.#compareUnit(OCR1B, 2, 4, timerInterrupt(0x18, COMPARE_B_FLAG));
  readonly #filterEvent = new ScheduledEvent((due) => this.#filterSettled(due));

  constructor(core: Core, portB: Port) {
    this.#core = core;
    this.#port = portB;
    this.#prescalerStart = core.cycles;
    portB.listen((bit, level, cycle) => {
      if (bit === CAPTURE_PIN) this.#capturePinChanged(level, cycle);
    });
    this.#attachCounter();
    this.#attachCompareRegisters();
    this.#attachControl();
    this.#attachInterruptRegisters();
  }

  // Counter ----------------------------------------------------------------------------------------

  #ticksAt(cycle: number): number {
    return this.#divider === 0 ? 0 : Math.floor((cycle - this.#prescalerStart) / this.#divider);
  }

  #countAt(cycle: number): number {
    return (this.#countThen + this.#ticksAt(cycle) - this.#ticksThen) & 0xffff;
  }

  /** Keeps the count through a change of clock. */
  #holdCount(count: number, cycle: number): void {
    this.#countThen = count;
    this.#ticksThen = this.#ticksAt(cycle);
  }

  /** Cycle at which the counter next becomes `value`, at the earliest with the next tick. */
  #cycleOfCount(value: number, skipNextTick: boolean): number {
    const { cycles } = this.#core;
    let ticksAway = ((value - this.#countAt(cycles) - 1) & 0xffff) + 1;
    if (skipNextTick && ticksAway === 1) ticksAway += 0x10000;
    return this.#prescalerStart + (this.#ticksAt(cycles) + ticksAway) * this.#divider;
  }

  #scheduleOverflow(): void {
    const { events } = this.#core;
    if (this.#divider === 0) events.cancel(this.#overflowEvent);
    else events.schedule(this.#overflowEvent, this.#cycleOfCount(0, false));
  }

  /** A match shows at the tick after the one at which the counter became equal (16.7, figure 16-11). */
  #scheduleMatch(unit: CompareUnit): void {
    const { events } = this.#core;
    if (this.#divider === 0) events.cancel(unit.event);
    else events.schedule(unit.event, this.#cycleOfCount((unit.value + 1) & 0xffff, this.#matchBlocked));
  }

  #scheduleAll(): void {
    this.#scheduleOverflow();
    this.#scheduleMatch(this.#compareA);
    this.#scheduleMatch(this.#compareB);
    this.#matchBlocked = false;
  }

  #attachCounter(): void {
    const core = this.#core;
    core.readHooks[TCNT1] = () => {
      const count = this.#countAt(core.cycles);
      this.#temporary = count >> 8;
      return count & 0xff;
    };
    core.readHooks[TCNT1 + 1] = () => this.#temporary;
    core.writeHooks[TCNT1 + 1] = (value) => this.#writeTemporary(value);
    core.writeHooks[TCNT1] = (value) => {
      this.#holdCount((this.#temporary << 8) | value, core.cycles);
      this.#matchBlocked = true;
      this.#scheduleAll();
      return true;
    };
  }

  #writeTemporary(value: number): boolean {
    this.#temporary = value;
    return true;
  }

  // Compare units ----------------------------------------------------------------------------------

  #compareUnit(register: number, pin: number, actionShift: number, interrupt: Interrupt): CompareUnit {
    const unit: CompareUnit = {
      register,
      pin,
      actionShift,
      interrupt,
      event: new ScheduledEvent((due) => {
        this.#core.setInterruptFlag(interrupt);
        this.#act(unit, due);
        this.#scheduleMatch(unit);
      }),
      value: 0,
      output: false,
    };
    return unit;
  }

  #action(unit: CompareUnit): number {
    return (this.#core.data[TCCR1A]! >> unit.actionShift) & 3;
  }

  #act(unit: CompareUnit, cycle: number): void {
    const action = this.#action(unit);
    if (action === CompareAction.none) return;
    unit.output = action === CompareAction.toggle ? !unit.output : action === CompareAction.set;
    this.#port.override(unit.pin, unit.output, cycle);
  }

  #attachCompareRegisters(): void {
    const core = this.#core;
    for (const unit of [this.#compareA, this.#compareB]) {
      // Reading OCR1x doesn't involve the temporary register (16.3).
      core.readHooks[unit.register] = () => unit.value & 0xff;
      core.readHooks[unit.register + 1] = () => unit.value >> 8;
      core.writeHooks[unit.register + 1] = (value) => this.#writeTemporary(value);
      core.writeHooks[unit.register] = (value) => {
        unit.value = (this.#temporary << 8) | value;
        this.#scheduleMatch(unit);
        return true;
      };
    }
  }

  // Control ----------------------------------------------------------------------------------------

  #attachControl(): void {
    const core = this.#core;
    const { data } = core;
    core.writeHooks[TCCR1A] = (value) => {
      if (value & WAVEFORM_A) throw new Error('The emulated timer 1 knows no waveform but normal mode.');
      data[TCCR1A] = value;
      for (const unit of [this.#compareA, this.#compareB]) {
        const connected = this.#action(unit) !== CompareAction.none;
        this.#port.override(unit.pin, connected ? unit.output : null, core.cycles);
      }
      return true;
    };
    core.writeHooks[TCCR1B] = (value) => {
      if (value & WAVEFORM_B) throw new Error('The emulated timer 1 knows no waveform but normal mode.');
      const divider = DIVIDERS[value & CLOCK_SELECT];
      if (divider === undefined) throw new Error('The emulated timer 1 knows no external clock.');
      data[TCCR1B] = value;
      if (divider === this.#divider) return true;
      const count = this.#countAt(core.cycles);
      this.#divider = divider;
      this.#holdCount(count, core.cycles);
      this.#scheduleAll();
      return true;
    };
    core.writeHooks[TCCR1C] = (value) => {
      if (value & FORCE_A) this.#act(this.#compareA, core.cycles); // a strobe: sets no flag (16.7.1)
      if (value & FORCE_B) this.#act(this.#compareB, core.cycles);
      return true;
    };
    core.writeHooks[GTCCR] = (value) => {
      if (value & HOLD_PRESCALER) throw new Error('The emulated prescaler cannot be held (TSM).');
      if (value & RESET_PRESCALER) {
        const count = this.#countAt(core.cycles);
        this.#prescalerStart = core.cycles;
        this.#holdCount(count, core.cycles);
        this.#scheduleAll();
      }
      return true;
    };
  }

  #attachInterruptRegisters(): void {
    const core = this.#core;
    const interrupts = [this.#overflow, this.#capture, this.#compareA.interrupt, this.#compareB.interrupt];
    core.writeHooks[TIFR1] = (value, _old, _address, mask) => {
      for (const interrupt of interrupts) {
        if (value & mask & interrupt.flagMask) core.clearInterrupt(interrupt);
      }
      return true;
    };
    core.writeHooks[TIMSK1] = (value) => {
      core.data[TIMSK1] = value;
      for (const interrupt of interrupts) core.updateInterruptEnable(interrupt, value);
      return true;
    };
    core.readHooks[ICR1] = () => {
      this.#temporary = core.data[ICR1 + 1]!;
      return core.data[ICR1]!;
    };
    core.readHooks[ICR1 + 1] = () => this.#temporary;
    core.writeHooks[ICR1] = core.writeHooks[ICR1 + 1] = () => true; // writable as TOP only (16.6)
  }

  // Input capture ----------------------------------------------------------------------------------

  #capturePinChanged(level: boolean, cycle: number): void {
    const { data, events } = this.#core;
    if (!(data[TCCR1B]! & NOISE_CANCELLER)) {
      this.#filteredLevel = level;
      this.#captureEdge(level, cycle);
      return;
    }
    if (level === this.#filteredLevel) events.cancel(this.#filterEvent);
    else events.schedule(this.#filterEvent, cycle + NOISE_CANCELLER_CYCLES);
  }

  #filterSettled(due: number): void {
    this.#filteredLevel = !this.#filteredLevel;
    this.#captureEdge(this.#filteredLevel, due);
  }

  #captureEdge(level: boolean, cycle: number): void {
    const { data, events } = this.#core;
    if (level !== ((data[TCCR1B]! & RISING_EDGE) !== 0)) return;
    const captured = new ScheduledEvent((due) => {
      const count = this.#countAt(due);
      data[ICR1] = count & 0xff;
      data[ICR1 + 1] = count >> 8;
      this.#core.setInterruptFlag(this.#capture);
    });
    events.schedule(captured, cycle + EDGE_DETECTOR_CYCLES);
  }
}
