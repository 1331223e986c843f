import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { type BoardPort, PortError, type PortRead } from './port.ts';

/**
 * The browser's default of 255 bytes holds about 6 ms of the stream; this holds over 20 s, so that a page
 * busy with something else loses nothing.
 */
const BUFFER_BYTES = 1 << 20;
/** The capacitor between DTR and reset has to be discharged meanwhile. */
const RESET_PULSE_MS = 250;

/** USB vendors whose bridges are common on hobby boards: a hint for the chooser, never a condition. */
export const commonBoards: SerialPortFilter[] = [
  { usbVendorId: 0x2341 },
  { usbVendorId: 0x2a03 },
  { usbVendorId: 0x1a86 },
  { usbVendorId: 0x0403 },
  { usbVendorId: 0x10c4 },
];

/** Why a port did not open, by the error's name: in some browsers a DOMException is no instance of Error. */
async function openingTrouble(port: SerialPort, error: unknown): Promise<PortError> {
  switch (nameOf(error)) {
    case 'SecurityError':
      return new PortError(
        'no permission',
        'The browser did not allow this page to use the port. Allow serial ports for this page in the browser’s settings of the site.',
      );
    case 'InvalidStateError':
      return new PortError(
        'busy',
        'This page already has the port open. Reload the page if that is a surprise.',
      );
    case 'TypeError':
    case 'NotSupportedError':
      return new PortError(
        'failed',
        'This port can’t be opened at the speed of a tester. Choose another port.',
      );
  }
  if (await isGone(port))
    return new PortError(
      'gone',
      'The port could not be opened: the board has just gone. Check the cable, plug it in again and try again.',
    );
  return new PortError(
    'busy',
    'The port could not be opened. Another program may be using it: close that and try again. ' +
      'On Linux your user also needs the group dialout (uucp on some systems), and ModemManager or brltty may hold the port for a moment.',
  );
}

/** What is plugged in and granted; browsers differ in whether a port itself knows that it has gone. */
async function isGone(port: SerialPort): Promise<boolean> {
  const here = await navigator.serial.getPorts().catch(() => null);
  return here !== null && !here.includes(port);
}

const nameOf = (error: unknown) => (error as { name?: string } | null)?.name ?? 'unknown';

/** A serial port of the browser's own Web Serial. */
export class NativeSerialPort implements BoardPort {
  readonly kind = 'serial';
  #port: SerialPort;
  #reader: ReadableStreamDefaultReader<Uint8Array> | null = null;
  /** While a write is under way. */
  #writer: WritableStreamDefaultWriter<Uint8Array> | null = null;
  #writing: Promise<void> = Promise.resolve();
  #closing = false;

  constructor(port: SerialPort) {
    this.#port = port;
  }

  async open(baudRate = BAUD_RATES.normal): Promise<void> {
    this.#closing = false;
    this.#writing = Promise.resolve();
    try {
      await this.#port.open({ baudRate, bufferSize: BUFFER_BYTES });
    } catch (error) {
      throw await openingTrouble(this.#port, error);
    }
  }

  async read(): Promise<PortRead> {
    while (!this.#closing) {
      const { readable } = this.#port;
      if (!readable) return { kind: 'ended', cause: 'disconnected' };
      this.#reader ??= readable.getReader();
      try {
        const { value, done } = await this.#reader.read();
        if (value && value.length > 0) return { kind: 'bytes', bytes: value, at: performance.now() };
        if (done) {
          this.#release();
          return { kind: 'ended', cause: this.#closing ? 'closed' : 'disconnected' };
        }
      } catch (error) {
        this.#release();
        const name = nameOf(error);
        if (name === 'NetworkError') return { kind: 'ended', cause: 'disconnected' };
        return { kind: 'fault', name };
      }
    }
    return { kind: 'ended', cause: 'closed' };
  }

  /** Writes wait for each other: a stream has one writer at a time. */
  write(bytes: Uint8Array): Promise<void> {
    const written = this.#writing.then(() => this.#writeNow(bytes));
    this.#writing = written.catch(() => undefined);
    return written;
  }

  async #writeNow(bytes: Uint8Array): Promise<void> {
    const { writable } = this.#port;
    if (!writable || this.#closing) throw new PortError('gone', 'The board is no longer there.');
    const writer = writable.getWriter();
    this.#writer = writer;
    try {
      await writer.write(bytes);
    } catch {
      throw new PortError('write failed', 'The board did not take a command.');
    } finally {
      writer.releaseLock();
      if (this.#writer === writer) this.#writer = null;
    }
  }

  async pulseReset(): Promise<void> {
    try {
      await this.#port.setSignals({ dataTerminalReady: false, requestToSend: false });
      await new Promise((resolve) => setTimeout(resolve, RESET_PULSE_MS));
      await this.#port.setSignals({ dataTerminalReady: true, requestToSend: true });
    } catch {
      throw new PortError('gone', 'The board could not be reset: it is no longer there.');
    }
  }

  async close(): Promise<void> {
    this.#closing = true;
    try {
      // A write that is never taken holds its lock, and a port with a locked stream does not close. Nor does what is
      // aborted here end by itself everywhere: it isn't waited for.
      void this.#writer?.abort().catch(() => undefined);
      this.#writer?.releaseLock();
      this.#writer = null;
      await this.#reader?.cancel();
    } catch {
      // A port that was pulled can't be cancelled; closing it below is all that is left.
    }
    this.#release();
    try {
      await this.#port.close();
    } catch {
      // The same: a port that is gone is closed already.
    }
  }

  #release() {
    try {
      this.#reader?.releaseLock();
    } catch {
      // A read that is still pending holds the lock; cancel() above has ended it.
    }
    this.#reader = null;
  }
}
