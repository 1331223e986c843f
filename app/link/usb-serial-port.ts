/**
 * A board over WebUSB, for browsers without Web Serial. web-serial-polyfill sets the line up (interfaces, speed, DTR
 * and RTS); the bytes go past its streams, whose faults can't be handled from outside (1.0.15,
 * tests/link/web-serial-polyfill.test.ts): each read leaves one more transfer out, without end; an empty packet ends
 * the stream; a write that failed is told as done.
 *
 * Load it with import() where it is needed: nobody else pays for the polyfill.
 */
import { SerialPort } from 'web-serial-polyfill';
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { type BoardPort, PortError, type PortRead } from './port.ts';
import { ReadQueue } from './read-queue.ts';
import { type CdcEndpoints, cdcEndpoints } from './usb-cdc.ts';
import { UsbIncoming } from './usb-incoming.ts';

/** The capacitor between DTR and reset has to be discharged meanwhile. */
const RESET_PULSE_MS = 250;
/** A board that no longer answers the request to drop its lines is closed without. */
const CLOSE_WITHIN_MS = 1000;

const useWebSerial =
  'use a browser with Web Serial (a desktop Chrome, Edge or Firefox): it works together with that driver.';

export class UsbSerialPort implements BoardPort {
  readonly kind = 'usb';
  readonly #device: USBDevice;
  readonly #usb: EventTarget;
  readonly #queue = new ReadQueue();
  #serial: SerialPort | null = null;
  #endpoints: CdcEndpoints | null = null;
  #incoming: UsbIncoming | null = null;

  /** `usb`: navigator.usb, which tells when the device is gone; the polyfill tells nothing. */
  constructor(device: USBDevice, usb: EventTarget) {
    this.#device = device;
    this.#usb = usb;
  }

  async open(baudRate = BAUD_RATES.normal): Promise<void> {
    this.#endpoints = cdcEndpoints(this.#device);
    if (!this.#endpoints)
      throw new PortError(
        'failed',
        'This USB device has no serial line of the class CDC. A board with a CH340, FTDI or CP210x chip needs a browser with Web Serial (a desktop Chrome, Edge or Firefox).',
      );
    this.#queue.clear();
    this.#serial ??= new SerialPort(this.#device);
    try {
      // First and apart from the rest: the polyfill hands on its errors as text.
      await this.#device.open();
    } catch (error) {
      throw openingTrouble((error as DOMException).name);
    }
    try {
      await this.#serial.open({ baudRate });
      // What the board sent before the reset is read and dropped, lest it be taken for something it says now.
      let hasBegun = false;
      this.#incoming = new UsbIncoming(this.#device, this.#endpoints.in, (read) => {
        if (hasBegun || read.kind === 'ended') this.#queue.put(read);
      });
      this.#usb.addEventListener('disconnect', this.#disconnected);
      // A page that went away without closing leaves DTR set: without a pulse nothing would be reset then.
      await this.#pulse();
      hasBegun = true;
    } catch (error) {
      await this.close();
      throw settingUpTrouble(String(error));
    }
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    const { opened } = this.#device;
    if (!this.#endpoints || !this.#incoming || !opened)
      throw new PortError('gone', 'The board is no longer there.');
    const { endpointNumber } = this.#endpoints.out;
    const taken = await this.#device.transferOut(endpointNumber, bytes.slice()).catch(() => null);
    if (taken?.status === 'ok' && taken.bytesWritten === bytes.length) return;
    if (taken?.status === 'stall') await this.#device.clearHalt('out', endpointNumber).catch(() => undefined);
    throw new PortError('write failed', 'The board did not take a command.');
  }

  async pulseReset(): Promise<void> {
    try {
      await this.#pulse();
    } catch {
      throw new PortError('gone', 'The board could not be reset: it is no longer there.');
    }
  }

  async close(): Promise<void> {
    this.#stop('closed');
    try {
      const closing = this.#serial?.close();
      await Promise.race([closing, pause(CLOSE_WITHIN_MS)]);
    } catch {
      // A board that was pulled can't drop its lines any more.
    }
    try {
      if (this.#device.opened) await this.#device.close();
    } catch {
      // The same: a device that is gone is closed already.
    }
  }

  #disconnected = (event: Event): void => {
    if ((event as USBConnectionEvent).device === this.#device) this.#stop('disconnected');
  };

  #stop(cause: 'closed' | 'disconnected'): void {
    this.#usb.removeEventListener('disconnect', this.#disconnected);
    this.#incoming?.stop();
    this.#incoming = null;
    this.#queue.put({ kind: 'ended', cause });
  }

  async #pulse(): Promise<void> {
    await this.#serial?.setSignals({ dataTerminalReady: false, requestToSend: false });
    await pause(RESET_PULSE_MS);
    await this.#serial?.setSignals({ dataTerminalReady: true, requestToSend: true });
  }
}

const pause = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));

/** `name`: of the error that opening the device gave. */
function openingTrouble(name: string): PortError {
  if (name === 'NotFoundError')
    return new PortError('gone', 'The board is no longer there: plug it in again.');
  if (name === 'SecurityError')
    return new PortError(
      'no permission',
      `The system did not let the browser open this board over USB. If you can't give your user access to the device, ${useWebSerial}`,
    );
  return held();
}

/** `words`: what the polyfill made of the error, which has no name of its own. */
function settingUpTrouble(words: string): PortError {
  if (words.includes('NotFoundError'))
    return new PortError('gone', 'The board went away while it was being opened: plug it in again.');
  if (/line coding|controlTransferOut/i.test(words))
    return new PortError(
      'failed',
      'The board did not take the speed of the line. Plug it in again; if that does not help, it may be no tester board.',
    );
  return held();
}

const held = () =>
  new PortError(
    'busy',
    'This board can’t be taken over USB: the system’s own driver, another program or another tab holds it. ' +
      `Close what uses it and try again; if nothing does, ${useWebSerial}`,
  );
