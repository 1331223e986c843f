/** Of WebUSB (WICG), which not every browser has: what is used of it here and by web-serial-polyfill. */
type USBDirection = 'in' | 'out';

interface USBEndpoint {
  readonly endpointNumber: number;
  readonly direction: USBDirection;
  readonly packetSize: number;
}

interface USBInterface {
  readonly interfaceNumber: number;
  readonly alternates: readonly {
    readonly interfaceClass: number;
    readonly endpoints: readonly USBEndpoint[];
  }[];
}

interface USBConfiguration {
  readonly configurationValue: number;
  readonly interfaces: readonly USBInterface[];
}

interface USBInTransferResult {
  readonly status: 'ok' | 'stall' | 'babble';
  readonly data?: DataView<ArrayBuffer>;
}

interface USBOutTransferResult {
  readonly status: 'ok' | 'stall';
  readonly bytesWritten: number;
}

interface USBControlTransferParameters {
  readonly requestType: 'standard' | 'class' | 'vendor';
  readonly recipient: 'device' | 'interface' | 'endpoint' | 'other';
  readonly request: number;
  readonly value: number;
  readonly index: number;
}

interface USBDevice {
  readonly vendorId: number;
  readonly productId: number;
  readonly opened: boolean;
  readonly configuration: USBConfiguration | null;
  readonly configurations: readonly USBConfiguration[];
  open(): Promise<void>;
  close(): Promise<void>;
  selectConfiguration(value: number): Promise<void>;
  claimInterface(interfaceNumber: number): Promise<void>;
  controlTransferOut(setup: USBControlTransferParameters, data?: ArrayBuffer): Promise<USBOutTransferResult>;
  transferIn(endpointNumber: number, length: number): Promise<USBInTransferResult>;
  transferOut(endpointNumber: number, data: Uint8Array<ArrayBuffer>): Promise<USBOutTransferResult>;
  clearHalt(direction: USBDirection, endpointNumber: number): Promise<void>;
}

interface USBConnectionEvent extends Event {
  readonly device: USBDevice;
}

/** Sends USBConnectionEvents: 'connect' and 'disconnect'. */
interface USB extends EventTarget {
  getDevices(): Promise<USBDevice[]>;
  requestDevice(options: { readonly filters: readonly { readonly classCode: number }[] }): Promise<USBDevice>;
}

interface Navigator {
  /** Missing in most browsers, and outside secure contexts: way-in.ts says whether it is there. */
  readonly usb: USB;
}
