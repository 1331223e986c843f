import type { PortRead } from './port.ts';

/**
 * Transfers asked for ahead. One ends whenever the board's USB chip sends less than a full packet, every two or
 * three milliseconds, so that these bridge half a second in which the page is busy. What is lost beyond that, the
 * stream shows as a gap.
 */
const TRANSFERS_AHEAD = 256;
/** A multiple of the packet's size: a packet never holds more than was asked for (babble). */
const PACKETS_IN_TRANSFER = 16;
/** Faults in a row, with no byte between them, after which the board is given up. */
const MOST_FAULTS = 3;

/** How a transfer went; a rejection is one outcome of several, told by the error's name. */
interface Outcome {
  readonly status: USBInTransferResult['status'] | 'failed';
  readonly bytes: Uint8Array | null;
  readonly name: string;
}

/**
 * Bytes from a bulk endpoint, in order, from now until `stop` or until the device is gone. A stall or a failed
 * transfer is reported as a fault and mended by clearing the endpoint's halt; what can't be mended is the end.
 */
export class UsbIncoming {
  readonly #device: USBDevice;
  readonly #endpoint: USBEndpoint;
  readonly #put: (read: PortRead) => void;
  #stopped = false;

  constructor(device: USBDevice, endpoint: USBEndpoint, put: (read: PortRead) => void) {
    this.#device = device;
    this.#endpoint = endpoint;
    this.#put = put;
    void this.#run();
  }

  /** Nothing more is put. Transfers that are still out end when the device is closed. */
  stop(): void {
    this.#stopped = true;
  }

  async #run(): Promise<void> {
    let faults = 0;
    /** Faults mended so far: those of transfers that were out at the time are not told again. */
    let mends = 0;
    const out: { readonly outcome: Promise<Outcome>; readonly mends: number }[] = [];
    for (;;) {
      while (out.length < TRANSFERS_AHEAD) out.push({ outcome: this.#transfer(), mends });
      const oldest = out.shift()!;
      const { status, bytes, name } = await oldest.outcome;
      if (this.#stopped) return;
      // A board that filled its last packet sends an empty one after it.
      if (bytes && bytes.length > 0) {
        faults = 0;
        this.#put({ kind: 'bytes', bytes, at: performance.now() });
      }
      if (status === 'ok' || oldest.mends < mends) continue;
      // A pulled cable shows as a failed transfer first, and as one that can't be mended.
      if (!(await this.#mend())) return this.#gone();
      if (this.#stopped) return;
      mends++;
      this.#put({ kind: 'fault', name });
      if (++faults >= MOST_FAULTS) return this.#gone();
    }
  }

  #transfer(): Promise<Outcome> {
    const { endpointNumber, packetSize } = this.#endpoint;
    return this.#device.transferIn(endpointNumber, PACKETS_IN_TRANSFER * packetSize).then(
      ({ status, data }) => {
        const bytes = data ? new Uint8Array(data.buffer, data.byteOffset, data.byteLength) : null;
        return { status, bytes, name: status };
      },
      (error) => ({ status: 'failed', bytes: null, name: (error as DOMException).name }),
    );
  }

  async #mend(): Promise<boolean> {
    try {
      await this.#device.clearHalt('in', this.#endpoint.endpointNumber);
      return true;
    } catch {
      return false;
    }
  }

  #gone(): void {
    if (!this.#stopped) this.#put({ kind: 'ended', cause: 'disconnected' });
    this.#stopped = true;
  }
}
