import { type HeardByte, heardBytes } from '../unlike-speeds.ts';
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
const FE = 0x10;
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
/** So many bytes sent at another speed are listened to at once; between such pieces the line counts as idle. */
const PIECE = 64;

/**
 * USART0 in asynchronous mode with 8 data bits and no parity, data sheet 20.
 *
 * Transmit (20.6): UDR0 and a shift register, so that one byte waits while another leaves; UDRE is a
 * level. Receive (20.7): two bytes in the buffer and a third in the shift register; when the start bit
 * of a fourth comes, the waiting one is lost and DOR tells of it (20.7.4). FE belongs to the byte that is read
 * next (20.11.2).
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

  readonly #buffer: HeardByte[] = [];
  #inShiftRegister: HeardByte | null = null;
  /** Bytes on their way, and the speed they are sent at; null: whatever the board's own is. */
  #fromHost: { readonly bytes: Uint8Array; readonly baudRate: number | null }[] = [];
  /** The first of them as the receiver makes them out, the next one last. */
  #heard: HeardByte[] = [];
  #arriving: HeardByte | null = null;

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
   * Bytes from the other end of the line, sent at `baudRate`, or at the board's own when left out. They arrive one
   * after the other, whether the firmware reads them or not. Of what is sent at another speed than the board's the
   * receiver makes other bytes, which come at its own pace.
   */
  receive(bytes: Uint8Array, baudRate: number | null = null): void {
    if (bytes.length === 0) return;
    this.#fromHost.push({ bytes: bytes.slice(), baudRate });
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
    if (this.#arriving) this.#arrived(this.#arriving);
    this.#arriving = this.#nextHeard();
    if (!this.#arriving) return;
    this.#startBit();
    this.#core.events.schedule(this.#lineEvent, due + this.#cyclesPerFrame);
  }

  #nextHeard(): HeardByte | null {
    while (this.#heard.length === 0) {
      const [sent, ...later] = this.#fromHost;
      if (!sent) return null;
      const own = this.baudRate;
      this.#heard = heardBytes(sent.bytes.subarray(0, PIECE), sent.baudRate ?? own, own).reverse();
      const left = { ...sent, bytes: sent.bytes.subarray(PIECE) };
      this.#fromHost = left.bytes.length > 0 ? [left, ...later] : later;
    }
    return this.#heard.pop()!;
  }

  #startBit(): void {
    if (!this.#inShiftRegister) return;
    this.#inShiftRegister = null;
    this.#core.data[UCSR0A]! |= DOR;
  }

  #arrived(heard: HeardByte): void {
    if (!(this.#core.data[UCSR0B]! & RXEN)) return;
    if (this.#buffer.length >= RECEIVE_BUFFER) this.#inShiftRegister = heard;
    else this.#buffer.push(heard);
    this.#tellFraming();
    this.#core.setInterruptFlag(this.#receiveComplete);
  }

  #tellFraming(): void {
    const { data } = this.#core;
    if (this.#buffer[0]?.framingError) data[UCSR0A]! |= FE;
    else data[UCSR0A]! &= ~FE;
  }

  #readData(): number {
    const byte = this.#buffer.shift()?.byte ?? 0;
    if (this.#inShiftRegister) {
      this.#buffer.push(this.#inShiftRegister);
      this.#inShiftRegister = null;
    }
    this.#core.data[UCSR0A]! &= ~DOR; // valid until the buffer is read (20.11.2)
    this.#tellFraming();
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
      this.#inShiftRegister = null;
      data[UCSR0A]! &= ~(DOR | FE);
      this.#core.clearInterrupt(this.#receiveComplete);
    }
    for (const interrupt of [this.#receiveComplete, this.#dataRegisterEmpty, this.#transmitComplete]) {
      this.#core.updateInterruptEnable(interrupt, value);
    }
    return true;
  }
}
