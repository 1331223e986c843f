/**
 * An emulated board behind the USB chip of its own that speaks CDC: the product's firmware in the product's emulator,
 * at the pace of the clock, in this process. What the chip shows to a browser is in simulated-usb.ts.
 */
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { heardBytes } from '../../app/practice/unlike-speeds.ts';
import { TESTER_HEX } from '../practice/tester-firmware.ts';

/**
 * How long to sleep when the board is up with the clock, in ms. A real chip sends more often; here each sending costs a
 * way through the test's own wiring, and the board shares a thread with it.
 */
const NAP = 15;

export class UsbBoard {
  readonly core: PracticeCore;
  /** Baud, as set by the page; null before. */
  lineSpeed: number | null = null;
  /** Bytes from the board at another speed than the line's. */
  atWrongSpeed = 0;
  resets = 0;
  onBytes: (bytes: Uint8Array<ArrayBuffer>) => void = () => {};
  #runs = false;
  #dtr = false;
  #timer: ReturnType<typeof setTimeout>;

  constructor(seed: number) {
    this.core = new PracticeCore({ image: TESTER_HEX, seed });
    this.#timer = setTimeout(this.#goOn, NAP);
  }

  /** The firmware starts anew when DTR becomes set; it runs on when it is let go. */
  setDtr(dtr: boolean): void {
    if (dtr && !this.#dtr) {
      this.core.resetBoard();
      this.core.takeBytes();
      this.#runs = true;
      this.resets++;
    }
    this.#dtr = dtr;
  }

  /** The cable is pulled: no power, and the next one who plugs it in finds DTR let go. */
  powerOff(): void {
    this.#runs = false;
    this.#dtr = false;
  }

  write(bytes: Uint8Array): void {
    if (!this.#runs) return;
    this.core.write(bytes, this.lineSpeed ?? this.core.baudRate);
  }

  /** The class knows no way to tell a framing error with its byte (USB CDC PSTN 1.2, 6.5.4, tells the state alone). */
  #heardByChip(bytes: Uint8Array, sentAt: number, heardAt: number): Uint8Array<ArrayBuffer> {
    if (sentAt !== heardAt) this.atWrongSpeed += bytes.length;
    return Uint8Array.from(heardBytes(bytes, sentAt, heardAt), ({ byte }) => byte);
  }

  stop(): void {
    clearTimeout(this.#timer);
  }

  /** A shutter doesn't wait for a cable: a firing runs to its end without power on the board. */
  #goOn = (): void => {
    const { blades } = this.core.state;
    let behind = false;
    if (this.#runs || blades === 'exposing' || blades === 'held open') {
      behind = this.core.advance(performance.now());
      const bytes = this.core.takeBytes();
      const { baudRate } = this.core;
      if (this.#runs && bytes.length > 0)
        this.onBytes(this.#heardByChip(bytes, baudRate, this.lineSpeed ?? baudRate));
    }
    this.#timer = setTimeout(this.#goOn, behind ? 0 : NAP);
  };
}
