import type { Core, Interrupt } from './core.ts';
import { ScheduledEvent } from './event-queue.ts';

const UCSR0A = 0xc0;
const UCSR0B = 0xc1;
const UCSR0C = 0xc2;
const UBRR0L = 0xc4;
const UBRR0H = 0xc5;
const UDR0 = 0xc6;

const RXC = 0x80;
const TXC = 0x40;
const UDRE = 0x20;
const DOR = 0x08;
const U2X = 0x02;
const MPCM = 0x01;
const RXCIE = 0x80;
const TXCIE = 0x40;
const UDRIE = 0x20;
const RXEN = 0x10;
const TXEN = 0x08;
const EIGHT_BITS = 0x06;
const TWO_STOP_BITS = 0x08;

/** Frames the receive buffer holds, besides the one that waits in the shift register (20.7). */
const RECEIVE_BUFFER = 2;

/**
 * USART0 in asynchronous mode with 8 data bits and no parity, data sheet 20.
 *
 * Transmit (20.6): UDR0 and a shift register, so that one byte waits while another leaves; UDRE is a
 * level. Receive (20.7): two bytes in the buffer and a third in the shift register; when the start bit
 * of a fourth comes, the waiting one is lost and DOR tells of it (20.7.4).
 * Assumed, since the data sheet doesn't say: a byte written while nothing is being sent leaves at once,
 * without waiting for the running baud clock.
 */
export class Usart {
  readonly #core: Core;
  readonly #clockHz: number;
  readonly #onByte: (byte: number, cycle: number) => void;
  readonly #sent = new ScheduledEvent((due) => this.#shiftOutDone(due));
  readonly #lineEvent = new ScheduledEvent((due) => this.#line(due));

  #shifting = -1;
  #waiting = -1;

  readonly #buffer: number[] = [];
  #inShiftRegister = -1;
  readonly #fromHost: number[] = [];
  #arriving = false;

  readonly #receiveComplete: Interrupt = {
    address: 0x24,
    flagRegister: UCSR0A,
    flagMask: RXC,
    enableRegister: UCSR0B,
    enableMask: RXCIE,
    constant: true,
  };
  readonly #dataRegisterEmpty: Interrupt = {
    address: 0x26,
    flagRegister: UCSR0A,
    flagMask: UDRE,
    enableRegister: UCSR0B,
    enableMask: UDRIE,
    constant: true,
  };
  readonly #transmitComplete: Interrupt = {
    address: 0x28,
    flagRegister: UCSR0A,
    flagMask: TXC,
    enableRegister: UCSR0B,
    enableMask: TXCIE,
  };

  /** `onByte` is told each byte at the end of its stop bit. */
  constructor(core: Core, clockHz: number, onByte: (byte: number, cycle: number) => void) {
    this.#core = core;
    this.#clockHz = clockHz;
    this.#onByte = onByte;
    core.data[UCSR0A] = UDRE; // initial values: 20.11
    core.data[UCSR0C] = EIGHT_BITS;
    core.writeHooks[UCSR0A] = (value) => this.#writeStatus(value);
    core.writeHooks[UCSR0B] = (value) => this.#writeControl(value);
    core.writeHooks[UDR0] = (value) => this.#transmit(value);
    core.readHooks[UDR0] = () => this.#readData();
  }

  /** Baud rate the registers stand for (table 20-1). */
  get baudRate(): number {
    return this.#clockHz / this.#cyclesPerBit;
  }

  /**
   * Bytes from the other end of the line. They arrive one after the other at the board's own baud rate,
   * whether the firmware reads them or not.
   */
  receive(bytes: Uint8Array): void {
    for (const byte of bytes) this.#fromHost.push(byte);
    if (!this.#lineEvent.waiting) this.#core.events.schedule(this.#lineEvent, this.#core.cycles);
  }

  get #cyclesPerBit(): number {
    const { data } = this.#core;
    const divisor = ((data[UBRR0H]! & 0x0f) << 8) | data[UBRR0L]!;
    return (divisor + 1) * (data[UCSR0A]! & U2X ? 8 : 16);
  }

  get #cyclesPerFrame(): number {
    const settings = this.#core.data[UCSR0C]!;
    if ((settings & ~TWO_STOP_BITS) !== EIGHT_BITS) {
      throw new Error('The emulated USART knows no frames but 8 data bits without parity.');
    }
    return this.#cyclesPerBit * (1 + 8 + (settings & TWO_STOP_BITS ? 2 : 1));
  }

  // Transmitter ------------------------------------------------------------------------------------

  #transmit(byte: number): boolean {
    const { data, cycles } = this.#core;
    if (!(data[UCSR0B]! & TXEN) || !(data[UCSR0A]! & UDRE)) return true; // ignored (20.11.1)
    if (this.#shifting < 0) {
      this.#shiftOut(byte, cycles);
    } else {
      this.#waiting = byte;
      this.#core.clearInterrupt(this.#dataRegisterEmpty);
    }
    return true;
  }

  #shiftOut(byte: number, cycle: number): void {
    this.#shifting = byte;
    this.#core.events.schedule(this.#sent, cycle + this.#cyclesPerFrame);
  }

  #shiftOutDone(due: number): void {
    this.#onByte(this.#shifting, due);
    this.#shifting = -1;
    if (this.#waiting < 0) {
      this.#core.setInterruptFlag(this.#transmitComplete);
      return;
    }
    this.#shiftOut(this.#waiting, due);
    this.#waiting = -1;
    this.#core.setInterruptFlag(this.#dataRegisterEmpty);
  }

  // Receiver ---------------------------------------------------------------------------------------

  /** Alternately the start and the end of a frame on the receive line. */
  #line(due: number): void {
    const { events } = this.#core;
    if (this.#arriving) {
      this.#arriving = false;
      this.#arrived(this.#fromHost.shift()!);
      if (this.#fromHost.length === 0) return;
    }
    this.#startBit();
    this.#arriving = true;
    events.schedule(this.#lineEvent, due + this.#cyclesPerFrame);
  }

  #startBit(): void {
    if (this.#inShiftRegister < 0) return;
    this.#inShiftRegister = -1;
    this.#core.data[UCSR0A]! |= DOR;
  }

  #arrived(byte: number): void {
    if (!(this.#core.data[UCSR0B]! & RXEN)) return;
    if (this.#buffer.length >= RECEIVE_BUFFER) this.#inShiftRegister = byte;
    else this.#buffer.push(byte);
    this.#core.setInterruptFlag(this.#receiveComplete);
  }

  #readData(): number {
    const byte = this.#buffer.shift() ?? 0;
    if (this.#inShiftRegister >= 0) {
      this.#buffer.push(this.#inShiftRegister);
      this.#inShiftRegister = -1;
    }
    this.#core.data[UCSR0A]! &= ~DOR; // valid until the buffer is read (20.11.2)
    if (this.#buffer.length === 0) this.#core.clearInterrupt(this.#receiveComplete);
    return byte;
  }

  // Registers --------------------------------------------------------------------------------------

  #writeStatus(value: number): boolean {
    const { data } = this.#core;
    data[UCSR0A] = (data[UCSR0A]! & ~(U2X | MPCM)) | (value & (U2X | MPCM));
    if (value & TXC) this.#core.clearInterrupt(this.#transmitComplete);
    return true;
  }

  #writeControl(value: number): boolean {
    const { data } = this.#core;
    data[UCSR0B] = value;
    if (!(value & RXEN)) {
      // Disabling the receiver empties its buffer (20.7.6, 20.7.7).
      this.#buffer.length = 0;
      this.#inShiftRegister = -1;
      data[UCSR0A]! &= ~DOR;
      this.#core.clearInterrupt(this.#receiveComplete);
    }
    for (const interrupt of [this.#receiveComplete, this.#dataRegisterEmpty, this.#transmitComplete]) {
      this.#core.updateInterruptEnable(interrupt, value);
    }
    return true;
  }
}
