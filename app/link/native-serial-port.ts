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

const openFailed =
  'The port could not be opened. Another program or another tab may be using it: close that and try again. ' +
  'On Linux your user also needs the group dialout (uucp on some systems), and ModemManager or brltty may hold the port for a moment.';

/** A serial port of the browser's own Web Serial. */
export class NativeSerialPort implements BoardPort {
  readonly kind = 'serial';
  #port: SerialPort;
  #reader: ReadableStreamDefaultReader<Uint8Array> | null = null;
  #closing = false;

  constructor(port: SerialPort) {
    this.#port = port;
  }

  async open(baudRate = BAUD_RATES.normal): Promise<void> {
    this.#closing = false;
    try {
      await this.#port.open({ baudRate, bufferSize: BUFFER_BYTES });
    } catch (error) {
      const name = error instanceof DOMException ? error.name : '';
      if (name === 'SecurityError')
        throw new PortError('no permission', 'The browser did not allow this page to use the port.');
      if (name === 'InvalidStateError')
        throw new PortError(
          'busy',
          'This page already has the port open. Reload the page if that is a surprise.',
        );
      throw new PortError('busy', openFailed);
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
        // DOMException is asked by name: in some browsers it is no instance of Error.
        const name = (error as { name?: string } | null)?.name ?? 'unknown';
        if (name === 'NetworkError') return { kind: 'ended', cause: 'disconnected' };
        return { kind: 'fault', name };
      }
    }
    return { kind: 'ended', cause: 'closed' };
  }

  async write(bytes: Uint8Array): Promise<void> {
    const writer = this.#port.writable?.getWriter();
    if (!writer) throw new PortError('gone', 'The board is no longer there.');
    try {
      await writer.write(bytes);
    } catch {
      throw new PortError('write failed', 'The board did not take a command.');
    } finally {
      writer.releaseLock();
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
