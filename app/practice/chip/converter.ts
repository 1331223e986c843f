import type { Core, Interrupt } from './core.ts';
import { ScheduledEvent } from './event-queue.ts';

const ADCL = 0x78;
const ADCH = 0x79;
const ADCSRA = 0x7a;
const ADCSRB = 0x7b;
const ADMUX = 0x7c;

const ADEN = 0x80;
const ADSC = 0x40;
const ADATE = 0x20;
const ADIF = 0x10;
const ADIE = 0x08;
const ADPS = 0x07;
const ADLAR = 0x20;
const REFERENCE = 0xc0;
const REFERENCE_IS_SUPPLY = 0x40;
const TRIGGER_SOURCE = 0x07;

const BANDGAP = 14;
const GROUND = 15;
const LAST_PIN = 7;
const BANDGAP_VOLTS = 1.1;
const LARGEST_CODE = 1023;

export interface ConverterWiring {
  /** Code 0 to 1023 on a pin at a cycle; fractions are cut off, values beyond the range clipped. */
  readonly input: (pin: number, holdCycle: number) => number;
  readonly supplyVolts: number;
  /** Told of each finished conversion: what was held, when, and which code came out. */
  readonly onConversion?: ((multiplexer: number, holdCycle: number, code: number) => void) | undefined;
}

/**
 * Analog-to-digital converter, data sheet 24. Single and free running conversions with the supply as
 * reference; other triggers and references raise an error rather than a wrong reading.
 *
 * Sample-and-hold after the start of a conversion, in clocks of the converter (24.4, table 24-1): 13.5
 * in the first one after enabling, 1.5 in a single, 2 in a triggered one. Free running is triggered by its own
 * flag and starts again at once, every 13 clocks (figure 24-7), counted from the cycle a conversion was
 * due, so that the rate never drifts with the instructions in between.
 */
export class Converter {
  readonly #core: Core;
  readonly #wiring: ConverterWiring;
  readonly #start = new ScheduledEvent((due) => this.#begin(due, false));
  readonly #finish = new ScheduledEvent((due) => this.#complete(due));
  readonly #interrupt: Interrupt = {
    address: 0x2a,
    flagRegister: ADCSRA,
    flagMask: ADIF,
    enableRegister: ADCSRA,
    enableMask: ADIE,
  };
  /** Where the clock of the converter counts from: the prescaler stands still until ADEN is set (24.4). */
  #enabledAt = 0;
  #warm = false;
  #converting = false;
  #multiplexer = 0;
  #holdCycle = 0;
  /** ADCL was read and ADCH not yet: results are thrown away (24.2). */
  #locked = false;

  constructor(core: Core, wiring: ConverterWiring) {
    this.#core = core;
    this.#wiring = wiring;
    core.writeHooks[ADCSRA] = (value) => this.#control(value);
    core.readHooks[ADCL] = () => {
      this.#locked = true;
      return core.data[ADCL]!;
    };
    core.readHooks[ADCH] = () => {
      this.#locked = false;
      return core.data[ADCH]!;
    };
  }

  get #clock(): number {
    return Math.max(2, 1 << (this.#core.data[ADCSRA]! & ADPS));
  }

  #control(value: number): boolean {
    const { data, cycles, events } = this.#core;
    const wasEnabled = data[ADCSRA]! & ADEN;
    const flag = data[ADCSRA]! & ADIF & ~value; // cleared by writing one to it (24.9.2)
    if (!(value & ADEN)) {
      events.cancel(this.#start);
      events.cancel(this.#finish);
      this.#converting = false;
      this.#warm = false;
    } else if (!wasEnabled) {
      this.#enabledAt = cycles;
    }
    const starts = (value & ADSC) !== 0 && (value & ADEN) !== 0 && !this.#converting;
    this.#converting ||= starts;
    // Writing zero to ADSC has no effect: it reads one while a conversion runs.
    data[ADCSRA] = (value & (ADEN | ADATE | ADIE | ADPS)) | flag | (this.#converting ? ADSC : 0);
    if (!flag) this.#core.clearInterrupt(this.#interrupt);
    this.#core.updateInterruptEnable(this.#interrupt, value);
    if (starts) this.#startAtNextEdge(cycles);
    return true;
  }

  /** A conversion starts at the following rising edge of the converter's clock (24.4). */
  #startAtNextEdge(cycle: number): void {
    const clock = this.#clock;
    const edge = this.#enabledAt + Math.ceil((cycle - this.#enabledAt) / clock) * clock;
    if (edge <= cycle) this.#begin(cycle, false);
    else this.#core.events.schedule(this.#start, edge);
  }

  /** Channel and reference are locked here, whatever is written to ADMUX afterwards (24.5). */
  #begin(cycle: number, triggered: boolean): void {
    const { data, events } = this.#core;
    if ((data[ADMUX]! & REFERENCE) !== REFERENCE_IS_SUPPLY) {
      throw new Error('The emulated converter knows no reference but the supply (REFS = 01).');
    }
    if (data[ADCSRA]! & ADATE && data[ADCSRB]! & TRIGGER_SOURCE) {
      throw new Error('The emulated converter knows no trigger but its own flag (ADTS = 000).');
    }
    const clock = this.#clock;
    this.#multiplexer = data[ADMUX]! & 0x0f;
    const clocksToHold = this.#warm ? (triggered ? 2 : 1.5) : 13.5;
    this.#holdCycle = cycle + clocksToHold * clock;
    events.schedule(this.#finish, cycle + (this.#warm ? 13 : 25) * clock);
    this.#warm = true;
  }

  #complete(due: number): void {
    const { data } = this.#core;
    const code = this.#convert();
    if (!this.#locked) {
      const aligned = data[ADMUX]! & ADLAR ? code << 6 : code;
      data[ADCL] = aligned & 0xff;
      data[ADCH] = aligned >> 8;
    }
    this.#wiring.onConversion?.(this.#multiplexer, this.#holdCycle, code);
    this.#core.setInterruptFlag(this.#interrupt);
    if (data[ADCSRA]! & ADATE) {
      this.#begin(due, true);
    } else {
      this.#converting = false;
      data[ADCSRA]! &= ~ADSC;
    }
  }

  #convert(): number {
    const { input, supplyVolts } = this.#wiring;
    const multiplexer = this.#multiplexer;
    let value = 0;
    if (multiplexer <= LAST_PIN) value = input(multiplexer, this.#holdCycle);
    else if (multiplexer === BANDGAP) value = (BANDGAP_VOLTS / supplyVolts) * 1024;
    else if (multiplexer !== GROUND) throw new Error(`The emulated converter has no input ${multiplexer}.`);
    return Math.min(LARGEST_CODE, Math.max(0, Math.floor(value)));
  }
}
