/**
 * WebUSB as far as a page needs it for a CDC board (WICG WebUSB; USB CDC PSTN 1.2, section 6.3), with what goes wrong
 * on a cable. It is simulated here, since no USB bus can be had without hardware: what a real chip and a real host
 * controller do beyond this stays unproven.
 */
import type { UsbBoard } from './usb-board.ts';

const PACKET = 64; // full speed, bulk
/** What a chip keeps for a host that asks for nothing. */
const CHIP_BUFFER = 128;
const CONTROL_INTERFACE = 0;
const DATA_INTERFACE = 1;
const IN_ENDPOINT = 3;
const OUT_ENDPOINT = 4;
const SET_LINE_CODING = 0x20;
const SET_CONTROL_LINE_STATE = 0x22;

type Classes = readonly [control: number, data: number];
export const CDC: Classes = [2, 10];
/** A chip with a protocol of its own shows one vendor's class and no more. */
export const VENDOR_SPECIFIC: Classes = [255, 255];

export interface UsbDeviceOptions {
  readonly classes?: Classes;
  readonly vendorId?: number;
  readonly productId?: number;
}

interface PendingTransfer {
  readonly length: number;
  readonly packets: Uint8Array[];
  readonly resolve: (result: USBInTransferResult) => void;
  readonly reject: (error: DOMException) => void;
}

const failure = (name: string, words: string) => new DOMException(words, name);

export class SimulatedUsbDevice implements USBDevice {
  readonly vendorId: number;
  readonly productId: number;
  opened = false;
  configuration: USBConfiguration | null = null;
  readonly configurations: readonly USBConfiguration[];
  readonly board: UsbBoard;
  /** The operating system's driver, or another program, holds the interfaces. */
  held = false;
  /** The operating system lets nobody open it. */
  denied = false;
  /** Baud; higher speeds are stalled. */
  fastestLine = 2_000_000;
  /** Requests like SET_LINE_CODING are never answered. */
  deaf = false;
  /** Bytes the chip had to drop since the host asked for none. */
  dropped = 0;
  /** Most transfers that were out at once. */
  mostPending = 0;
  readonly lineSpeeds: number[] = [];
  readonly lineStates: number[] = [];
  #connected = true;
  readonly #claimed = new Set<number>();
  #pending: PendingTransfer[] = [];
  #kept: Uint8Array<ArrayBuffer> = new Uint8Array(0);
  readonly #halted = { in: false, out: false };

  constructor(board: UsbBoard, options: UsbDeviceOptions = {}) {
    const { classes = CDC, vendorId = 0x2341, productId = 0x0043 } = options;
    this.board = board;
    this.vendorId = vendorId;
    this.productId = productId;
    const endpoint = (endpointNumber: number, direction: USBDirection) => ({
      endpointNumber,
      direction,
      packetSize: PACKET,
    });
    const data = [endpoint(IN_ENDPOINT, 'in'), endpoint(OUT_ENDPOINT, 'out')];
    const shape = (interfaceNumber: number, interfaceClass: number, endpoints: USBEndpoint[]) => ({
      interfaceNumber,
      alternates: [{ interfaceClass, endpoints }],
    });
    this.configurations = [
      {
        configurationValue: 1,
        interfaces: [
          shape(CONTROL_INTERFACE, classes[0], [endpoint(2, 'in')]),
          shape(DATA_INTERFACE, classes[1], data),
        ],
      },
    ];
    board.onBytes = (bytes) => this.#fromBoard(bytes);
  }

  async open(): Promise<void> {
    if (!this.#connected) throw failure('NotFoundError', 'The device was disconnected.');
    if (this.denied) throw failure('SecurityError', 'Access denied.');
    this.opened = true;
  }

  async close(): Promise<void> {
    this.opened = false;
    this.#claimed.clear();
    this.#endAll(failure('AbortError', 'The transfer was cancelled.'));
    this.#kept = new Uint8Array(0);
  }

  async selectConfiguration(value: number): Promise<void> {
    this.#mustBeOpen();
    const configuration = this.configurations.find((one) => one.configurationValue === value);
    if (!configuration) throw failure('NotFoundError', 'No such configuration.');
    this.configuration = configuration;
  }

  async claimInterface(interfaceNumber: number): Promise<void> {
    this.#mustBeOpen();
    if (this.held) throw failure('NetworkError', 'Unable to claim interface.');
    this.#claimed.add(interfaceNumber);
  }

  async controlTransferOut(
    setup: USBControlTransferParameters,
    data?: ArrayBuffer,
  ): Promise<USBOutTransferResult> {
    this.#mustBeOpen();
    if (this.deaf) return new Promise(() => {});
    if (setup.requestType !== 'class' || setup.recipient !== 'interface') return stall;
    if (!this.#claimed.has(setup.index)) throw failure('InvalidStateError', 'The interface is not claimed.');
    if (setup.index !== CONTROL_INTERFACE) return stall;
    if (setup.request === SET_LINE_CODING && data?.byteLength === 7) {
      const view = new DataView(data);
      const speed = view.getUint32(0, true);
      const isEightN1 = view.getUint8(4) === 0 && view.getUint8(5) === 0 && view.getUint8(6) === 8;
      if (speed > this.fastestLine || !isEightN1) return stall;
      this.lineSpeeds.push(speed);
      this.board.lineSpeed = speed;
      return { status: 'ok', bytesWritten: 7 };
    }
    if (setup.request !== SET_CONTROL_LINE_STATE) return stall;
    this.lineStates.push(setup.value);
    this.board.setDtr((setup.value & 1) === 1);
    return { status: 'ok', bytesWritten: 0 };
  }

  transferIn(endpointNumber: number, length: number): Promise<USBInTransferResult> {
    return new Promise((resolve, reject) => {
      this.#mustHaveData(endpointNumber, IN_ENDPOINT);
      if (this.#halted.in) return resolve({ status: 'stall' });
      this.#pending.push({ length, packets: [], resolve, reject });
      this.mostPending = Math.max(this.mostPending, this.#pending.length);
      const kept = this.#kept;
      this.#kept = new Uint8Array(0);
      if (kept.length > 0) this.#fromBoard(kept);
    });
  }

  async transferOut(endpointNumber: number, data: Uint8Array<ArrayBuffer>): Promise<USBOutTransferResult> {
    this.#mustHaveData(endpointNumber, OUT_ENDPOINT);
    if (this.#halted.out) return stall;
    this.board.write(data);
    return { status: 'ok', bytesWritten: data.length };
  }

  async clearHalt(direction: USBDirection, endpointNumber: number): Promise<void> {
    this.#mustHaveData(endpointNumber, direction === 'in' ? IN_ENDPOINT : OUT_ENDPOINT);
    this.#halted[direction] = false;
  }

  // What goes wrong --------------------------------------------------------------------------------

  /** The endpoint answers 'stall', to all that is out and to all that comes, until its halt is cleared. */
  halt(direction: USBDirection): void {
    this.#halted[direction] = true;
    if (direction === 'out') return;
    for (const { resolve } of this.#takePending()) resolve({ status: 'stall' });
  }

  /** The board sends more than the transfer that is due has room for. */
  babble(): void {
    this.#pending.shift()?.resolve({ status: 'babble' });
  }

  /** The transfer that is due fails, though the device is still there. */
  failTransfer(): void {
    this.#pending.shift()?.reject(failure('NetworkError', 'A transfer error has occurred.'));
  }

  /** The cable is pulled: transfers fail before anybody is told why, as browsers do it (whatwg/usb, issue 219). */
  disconnect(): void {
    this.#connected = false;
    this.board.powerOff();
    this.#endAll(failure('NetworkError', 'A transfer error has occurred.'));
  }

  // ------------------------------------------------------------------------------------------------

  /** In packets, the last one short, be it empty. */
  #fromBoard(bytes: Uint8Array<ArrayBuffer>): void {
    for (let at = 0; at <= bytes.length; at += PACKET) {
      const packet = bytes.subarray(at, at + PACKET);
      const transfer = this.#pending[0];
      if (transfer && !this.#halted.in) this.#packet(transfer, packet);
      else this.#keep(packet);
    }
  }

  #packet(transfer: PendingTransfer, packet: Uint8Array): void {
    transfer.packets.push(packet);
    const isShort = packet.length < PACKET;
    if (!isShort && transfer.packets.length * PACKET < transfer.length) return;
    this.#pending.shift();
    transfer.resolve({ status: 'ok', data: new DataView(joined(transfer.packets).buffer) });
  }

  #keep(packet: Uint8Array): void {
    if (!this.opened) return;
    const room = Math.max(0, CHIP_BUFFER - this.#kept.length);
    this.#kept = joined([this.#kept, packet.subarray(0, room)]);
    this.dropped += Math.max(0, packet.length - room);
  }

  #takePending(): PendingTransfer[] {
    const pending = this.#pending;
    this.#pending = [];
    return pending;
  }

  #endAll(error: DOMException): void {
    for (const { reject } of this.#takePending()) reject(error);
  }

  #mustBeOpen(): void {
    if (!this.#connected) throw failure('NotFoundError', 'The device was disconnected.');
    if (!this.opened) throw failure('InvalidStateError', 'The device must be opened first.');
  }

  #mustHaveData(endpointNumber: number, expected: number): void {
    this.#mustBeOpen();
    if (endpointNumber !== expected) throw failure('NotFoundError', 'No such endpoint.');
    if (!this.#claimed.has(DATA_INTERFACE))
      throw failure('InvalidStateError', 'The interface is not claimed.');
  }
}

const stall: USBOutTransferResult = { status: 'stall', bytesWritten: 0 };

function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(Buffer.concat(parts));
}

class ConnectionEvent extends Event implements USBConnectionEvent {
  constructor(
    type: 'connect' | 'disconnect',
    readonly device: USBDevice,
  ) {
    super(type);
  }
}

/** The bus with one socket, as a page sees it that was granted what is plugged in. */
export class SimulatedUsb extends EventTarget {
  device: SimulatedUsbDevice | null = null;

  /** A device that is plugged in is a new object each time, also when it is the same board. */
  plug(board: UsbBoard, options: UsbDeviceOptions = {}): SimulatedUsbDevice {
    this.device = new SimulatedUsbDevice(board, options);
    this.dispatchEvent(new ConnectionEvent('connect', this.device));
    return this.device;
  }

  /** `told`: whether the browser tells the page. */
  pull({ told = true } = {}): void {
    const { device } = this;
    this.device = null;
    if (!device) return;
    device.disconnect();
    setTimeout(() => {
      device.opened = false;
      if (told) this.dispatchEvent(new ConnectionEvent('disconnect', device));
    }, 20);
  }
}
