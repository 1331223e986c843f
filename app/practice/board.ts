import { AVREEPROM } from 'avr8js';
import { refuseAbsentParts } from './chip/absent-parts.ts';
import { Converter } from './chip/converter.ts';
import { Core, SRAM_START } from './chip/core.ts';
import { ScheduledEvent } from './chip/event-queue.ts';
import { ExternalInterrupts } from './chip/external-interrupts.ts';
import { readHexImage } from './chip/hex-image.ts';
import { Port } from './chip/port.ts';
import { type BootLoaderSection, SelfProgramming } from './chip/self-programming.ts';
import { Timer1 } from './chip/timer1.ts';
import { Usart } from './chip/usart.ts';
import { Watchdog } from './chip/watchdog.ts';
import { heardBytes } from './unlike-speeds.ts';

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
  /** A boot loader above the image; without one the chip can't program itself. */
  readonly bootLoader?: BootLoaderSection;
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
  readonly watchdog: Watchdog;
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
  /** Program memory as it stands, 16384 words: a view. */
  readonly program: Uint16Array;
  /** What a repairer's set-up holds against power cuts. */
  readonly eeprom: Uint8Array;
  readonly #contact: Switch = { grounded: false, port: 'portB', bit: CONTACT_BIT };
  readonly #release: Switch = { grounded: false, port: 'portD', bit: RELEASE_BIT };
  #pendingChanges: SwitchChange[] = [];
  #sent = new Uint8Array(4096);
  #sentLength = 0;
  /** Where in what was sent the speed of the line changed; the first entry stands at 0. */
  #speeds: { readonly from: number; readonly baudRate: number }[] = [];
  #chip: Chip;

  /** Throws an Error if the image is no sound hex file or the EEPROM hasn't 1024 bytes. */
  constructor(options: BoardOptions) {
    this.#options = options;
    this.program = programMemory(options);
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
    const until = Math.ceil(untilCycle);
    while (this.cycle < until) this.#chip.core.run(until); // anew when the watchdog has reset the chip
  }

  /**
   * The bytes sent since the last call, as a fresh array: as they were sent, or as a receiver at `baudRate` hears them,
   * framing errors unseen, as computers hand them on.
   */
  takeBytes(baudRate?: number): Uint8Array<ArrayBuffer> {
    const bytes = this.#sent.slice(0, this.#sentLength);
    const speeds = this.#speeds;
    this.#sentLength = 0;
    this.#speeds = [];
    if (baudRate === undefined || speeds.every((speed) => speed.baudRate === baudRate)) return bytes;
    const heard = speeds.flatMap((speed, n) =>
      heardBytes(bytes.subarray(speed.from, speeds[n + 1]?.from), speed.baudRate, baudRate),
    );
    return Uint8Array.from(heard, ({ byte }) => byte);
  }

  /** Bytes for the board, sent at its own speed or at `baudRate`; they arrive after those still on their way. */
  receive(bytes: Uint8Array, baudRate?: number): void {
    this.#chip.usart.receive(bytes, baudRate);
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
    this.#chip.core.stop();
    this.#chip = this.#powerUp(this.cycle);
    const { data } = this.#chip.core;
    if (cause === 'power on') fillWithRubbish(data);
    else data.set(before.subarray(SRAM_START), SRAM_START);
    data[MCUSR] = cause === 'power on' ? RESET_FLAGS[cause] : before[MCUSR]! | RESET_FLAGS[cause];
    this.#chip.watchdog.begin();
  }

  #powerUp(cycle: number): Chip {
    const { light, supplyVolts = 5, bootLoader, onPulse, onConversion } = this.#options;
    const core = new Core(bootLoader ? this.program.slice() : this.program, cycle);
    const portB = new Port(core, PORT_B_PINS);
    const portC = new Port(core, PORT_C_PINS);
    const portD = new Port(core, PORT_D_PINS);
    new ExternalInterrupts(core, portB, portC, portD);
    new Timer1(core, portB);
    new Converter(core, { input: light, supplyVolts, onConversion });
    new AVREEPROM(core, this.#eepromCells());
    refuseAbsentParts(core);
    if (bootLoader) {
      new SelfProgramming(core, this.program, bootLoader, CLOCK_HZ);
      core.pc = bootLoader.start / 2;
    }
    const watchdog = new Watchdog(core, CLOCK_HZ, () => this.reset('watchdog'));
    const usart = new Usart(core, CLOCK_HZ, (byte, at) => this.#send(byte, at));
    if (onPulse) {
      portB.listen((bit, level, at) => {
        if (bit === PULSE_BIT) onPulse(level, at);
      });
    }
    const chip: Chip = { core, watchdog, usart, portB, portD };
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
    const { baudRate } = this;
    if (this.#speeds.at(-1)?.baudRate !== baudRate) this.#speeds.push({ from: this.#sentLength, baudRate });
    this.#sent[this.#sentLength++] = byte;
    this.#options.onByte?.(byte, cycle);
  }
}

/** The image, with the boot loader's section in its place. A memory that the chip may write is its own. */
function programMemory({ image, bootLoader }: BoardOptions): Uint16Array {
  const words = typeof image === 'string' ? readHexImage(image) : image;
  if (!bootLoader) return words;
  const { image: above, start } = bootLoader;
  const program = words.slice();
  program.set((typeof above === 'string' ? readHexImage(above) : above).subarray(start / 2), start / 2);
  return program;
}

/** SRAM holds anything after power-on: the same anything every time, so that runs can be compared. */
function fillWithRubbish(data: Uint8Array): void {
  for (let address = SRAM_START; address < data.length; address++)
    data[address] = (address * 167 + 91) & 0xff;
}
