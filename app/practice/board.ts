import { AVREEPROM } from 'avr8js';
import { refuseAbsentParts } from './chip/absent-parts.ts';
import { Converter } from './chip/converter.ts';
import { Core, SRAM_START } from './chip/core.ts';
import { ScheduledEvent } from './chip/event-queue.ts';
import { ExternalInterrupts } from './chip/external-interrupts.ts';
import { readHexImage } from './chip/hex-image.ts';
import { Port } from './chip/port.ts';
import { Timer1 } from './chip/timer1.ts';
import { Usart } from './chip/usart.ts';

export const CLOCK_HZ = 16_000_000;
const EEPROM_BYTES = 1024;

/** Reset flags in MCUSR (data sheet 11.9.1). */
const RESET_FLAGS = { 'power on': 0x01, external: 0x02, 'brown-out': 0x04, watchdog: 0x08 } as const;
export type ResetCause = keyof typeof RESET_FLAGS;
const MCUSR = 0x54;

/** The board's wiring: digital pins 8, 9 and 2 of the hobby board. */
const PORT_B_PINS = 0x23;
const PORT_C_PINS = 0x26;
const PORT_D_PINS = 0x29;
const CONTACT_BIT = 0;
const PULSE_BIT = 1;
const RELEASE_BIT = 2;

export interface BoardOptions {
  /** Intel HEX text, or program memory as 16384 words. */
  readonly image: string | Uint16Array;
  /** Converter code of the light on A0 to A2 (channel 0 to 2), 0 to 1023; fractions are cut off. */
  readonly light: (channel: number, cycle: number) => number;
  /** 1024 bytes, used in place, so that the caller can keep them. Erased when left out. */
  readonly eeprom?: Uint8Array;
  readonly supplyVolts?: number;
  /** Each byte the board has sent, at the end of its stop bit. */
  readonly onByte?: (byte: number, cycle: number) => void;
  /** D9, the reference light, has changed. */
  readonly onPulse?: (level: boolean, cycle: number) => void;
  /** Each finished conversion: the input selected, the cycle it was held at, the 10-bit code. */
  readonly onConversion?: (multiplexer: number, holdCycle: number, code: number) => void;
}

interface Chip {
  readonly core: Core;
  readonly usart: Usart;
  readonly portB: Port;
  readonly portD: Port;
}

interface Switch {
  grounded: boolean;
  readonly port: 'portB' | 'portD';
  readonly bit: number;
}

interface SwitchChange {
  readonly of: Switch;
  readonly grounded: boolean;
  readonly cycle: number;
}

/**
 * The hobby board with its ATmega328P at 16 MHz, as far as the tester uses it. Parts are in chip/, one
 * file each, named as in the data sheet Atmel-8271 (ATmega48A to 328P), whose sections they cite.
 *
 * Time is counted in cycles of the clock and moves only by `run`. What the board does depends on the
 * image, the light and the cycles at which switches change and bytes arrive, not on how the calls of
 * `run` divide the time.
 */
export class EmulatedBoard {
  readonly #options: BoardOptions;
  readonly #program: Uint16Array;
  /** What a repairer's set-up holds against power cuts. */
  readonly eeprom: Uint8Array;
  readonly #contact: Switch = { grounded: false, port: 'portB', bit: CONTACT_BIT };
  readonly #release: Switch = { grounded: false, port: 'portD', bit: RELEASE_BIT };
  #pendingChanges: SwitchChange[] = [];
  #sent = new Uint8Array(4096);
  #sentLength = 0;
  #chip: Chip;

  /** Throws an Error if the image is no sound hex file or the EEPROM hasn't 1024 bytes. */
  constructor(options: BoardOptions) {
    this.#options = options;
    this.#program = typeof options.image === 'string' ? readHexImage(options.image) : options.image;
    this.eeprom = options.eeprom ?? new Uint8Array(EEPROM_BYTES).fill(0xff);
    if (this.eeprom.length !== EEPROM_BYTES) throw new Error(`An EEPROM has ${EEPROM_BYTES} bytes.`);
    this.#chip = this.#powerUp(0);
    fillWithRubbish(this.#chip.core.data);
    this.#chip.core.data[MCUSR] = RESET_FLAGS['power on'];
  }

  get cycle(): number {
    return this.#chip.core.cycles;
  }

  /** Cycles the core slept through since the last reset. */
  get idleCycles(): number {
    return this.#chip.core.idleCycles;
  }

  get baudRate(): number {
    return this.#chip.usart.baudRate;
  }

  /** SRAM as it stands, from address 0x100 on: a view, for tests of stack and buffers. */
  get ram(): Uint8Array {
    return this.#chip.core.data.subarray(SRAM_START);
  }

  get stackPointer(): number {
    return this.#chip.core.SP;
  }

  /** Word address of the next instruction. */
  get programCounter(): number {
    return this.#chip.core.pc;
  }

  /** Runs until `untilCycle` is reached or passed within an instruction. */
  run(untilCycle: number): void {
    this.#chip.core.run(Math.ceil(untilCycle));
  }

  /** The bytes sent since the last call, as a fresh array. */
  takeBytes(): Uint8Array<ArrayBuffer> {
    const bytes = this.#sent.slice(0, this.#sentLength);
    this.#sentLength = 0;
    return bytes;
  }

  /** Bytes for the board; from now on they arrive at its baud rate, after those still on their way. */
  receive(bytes: Uint8Array): void {
    this.#chip.usart.receive(bytes);
  }

  /** The flash contact on D8, now or at a cycle to come. */
  setContact(closed: boolean, atCycle = this.cycle): void {
    this.#change({ of: this.#contact, grounded: closed, cycle: atCycle });
  }

  /** What the contact was going to do does not happen any more. */
  forgetContact(): void {
    this.#pendingChanges = this.#pendingChanges.filter((change) => change.of !== this.#contact);
  }

  /** The release switch on D2, now or at a cycle to come. */
  setRelease(pressed: boolean, atCycle = this.cycle): void {
    this.#change({ of: this.#release, grounded: pressed, cycle: atCycle });
  }

  /**
   * Starts the firmware anew. The SRAM keeps its contents, unless power was off; the EEPROM keeps them
   * anyway. Bytes on the line to the board are lost; switches do what they were going to do.
   */
  reset(cause: ResetCause = 'external'): void {
    const before = this.#chip.core.data;
    this.#chip = this.#powerUp(this.cycle);
    const { data } = this.#chip.core;
    if (cause === 'power on') fillWithRubbish(data);
    else data.set(before.subarray(SRAM_START), SRAM_START);
    data[MCUSR] = cause === 'power on' ? RESET_FLAGS[cause] : before[MCUSR]! | RESET_FLAGS[cause];
  }

  #powerUp(cycle: number): Chip {
    const { light, supplyVolts = 5, onPulse, onConversion } = this.#options;
    const core = new Core(this.#program, cycle);
    const portB = new Port(core, PORT_B_PINS);
    const portC = new Port(core, PORT_C_PINS);
    const portD = new Port(core, PORT_D_PINS);
    new ExternalInterrupts(core, portB, portC, portD);
    new Timer1(core, portB);
    new Converter(core, { input: light, supplyVolts, onConversion });
    new AVREEPROM(core, this.#eepromCells());
    refuseAbsentParts(core);
    const usart = new Usart(core, CLOCK_HZ, (byte, at) => this.#send(byte, at));
    if (onPulse) {
      portB.listen((bit, level, at) => {
        if (bit === PULSE_BIT) onPulse(level, at);
      });
    }
    const chip: Chip = { core, usart, portB, portD };
    for (const input of [this.#contact, this.#release]) {
      chip[input.port].drive(input.bit, input.grounded ? 'ground' : 'open', cycle);
    }
    for (const change of this.#pendingChanges) this.#schedule(chip, change);
    return chip;
  }

  #eepromCells() {
    const cells = this.eeprom;
    return {
      readMemory: (address: number) => cells[address % EEPROM_BYTES]!,
      writeMemory: (address: number, value: number) => {
        cells[address % EEPROM_BYTES]! &= value;
      },
      eraseMemory: (address: number) => {
        cells[address % EEPROM_BYTES] = 0xff;
      },
    };
  }

  #change(change: SwitchChange): void {
    if (change.cycle < this.cycle) throw new RangeError('A switch cannot change in the past.');
    this.#pendingChanges.push(change);
    this.#schedule(this.#chip, change);
  }

  #schedule(chip: Chip, change: SwitchChange): void {
    const event = new ScheduledEvent((due) => {
      if (!this.#pendingChanges.includes(change)) return;
      this.#pendingChanges = this.#pendingChanges.filter((other) => other !== change);
      change.of.grounded = change.grounded;
      chip[change.of.port].drive(change.of.bit, change.grounded ? 'ground' : 'open', due);
    });
    chip.core.events.schedule(event, change.cycle);
  }

  #send(byte: number, cycle: number): void {
    if (this.#sentLength === this.#sent.length) {
      const larger = new Uint8Array(2 * this.#sent.length);
      larger.set(this.#sent);
      this.#sent = larger;
    }
    this.#sent[this.#sentLength++] = byte;
    this.#options.onByte?.(byte, cycle);
  }
}

/** SRAM holds anything after power-on: the same anything every time, so that runs can be compared. */
function fillWithRubbish(data: Uint8Array): void {
  for (let address = SRAM_START; address < data.length; address++)
    data[address] = (address * 167 + 91) & 0xff;
}
