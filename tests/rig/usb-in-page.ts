/** Puts a simulated USB bus (simulated-usb.ts) in a page's navigator.usb, and takes Web Serial away. */
import type { Page } from 'playwright-core';
import type { SimulatedUsb, SimulatedUsbDevice } from './simulated-usb.ts';

type Method =
  | 'open'
  | 'close'
  | 'selectConfiguration'
  | 'claimInterface'
  | 'controlTransferOut'
  | 'transferIn'
  | 'transferOut'
  | 'clearHalt';

interface DeviceFacts {
  readonly id: number;
  readonly vendorId: number;
  readonly productId: number;
  readonly configurations: readonly USBConfiguration[];
}

/** Bytes cross between page and test as numbers. */
type Argument = number | string | object | readonly number[];

interface Answer {
  readonly status?: string;
  readonly bytesWritten?: number;
  readonly bytes?: readonly number[];
  readonly error?: { readonly name: string; readonly message: string };
}

/** Call it before the page is loaded. */
export async function putUsbInPage(page: Page, usb: SimulatedUsb): Promise<void> {
  const devices: SimulatedUsbDevice[] = [];
  const facts = (device: SimulatedUsbDevice): DeviceFacts => {
    if (!devices.includes(device)) devices.push(device);
    const { vendorId, productId, configurations } = device;
    return { id: devices.indexOf(device), vendorId, productId, configurations };
  };
  await page.exposeFunction('usbDevices', (): DeviceFacts[] => (usb.device ? [facts(usb.device)] : []));
  await page.exposeFunction('usbCall', (id: number, method: Method, args: Argument[]) =>
    call(devices[id]!, method, args),
  );
  // A browser closes what a page that goes away had open.
  await page.exposeFunction('usbPageBegins', () => Promise.all(devices.map((device) => device.close())));
  await page.addInitScript(standInForUsb);
  for (const type of ['connect', 'disconnect'] as const)
    usb.addEventListener(type, (event) => {
      const { device } = event as USBConnectionEvent;
      const told = [type, facts(device as SimulatedUsbDevice)] as const;
      void page
        .evaluate(([what, of]) => (window as unknown as InPage).usbTells(what, of), told)
        .catch(() => undefined); // the page is gone
    });
}

async function call(device: SimulatedUsbDevice, method: Method, args: Argument[]): Promise<Answer> {
  try {
    switch (method) {
      case 'transferIn': {
        const { status, data } = await device.transferIn(args[0] as number, args[1] as number);
        return data ? { status, bytes: [...new Uint8Array(data.buffer)] } : { status };
      }
      case 'transferOut':
        return await device.transferOut(args[0] as number, Uint8Array.from(args[1] as number[]));
      case 'controlTransferOut': {
        const data = args[1] ? Uint8Array.from(args[1] as number[]).buffer : undefined;
        return await device.controlTransferOut(args[0] as USBControlTransferParameters, data);
      }
      default:
        await (device[method] as (...all: Argument[]) => Promise<void>).apply(device, args);
        return {};
    }
  } catch (error) {
    const { name, message } = error as Error;
    return { error: { name, message } };
  }
}

/** What the script below leaves on `window`. */
interface InPage {
  usbDevices(): Promise<DeviceFacts[]>;
  usbCall(id: number, method: Method, args: Argument[]): Promise<Answer>;
  usbPageBegins(): Promise<void>;
  usbTells(type: 'connect' | 'disconnect', of: DeviceFacts): void;
}

/** Runs in the page: it can use nothing of this file. */
function standInForUsb(): void {
  const inPage = window as unknown as InPage;
  void inPage.usbPageBegins();

  class Device {
    opened = false;
    configuration: USBConfiguration | null = null;
    readonly #id: number;
    readonly vendorId: number;
    readonly productId: number;
    readonly configurations: readonly USBConfiguration[];

    constructor({ id, vendorId, productId, configurations }: DeviceFacts) {
      this.#id = id;
      this.vendorId = vendorId;
      this.productId = productId;
      this.configurations = configurations;
    }

    async open() {
      await this.#call('open');
      this.opened = true;
    }

    async close() {
      this.opened = false;
      await this.#call('close');
    }

    async selectConfiguration(value: number) {
      await this.#call('selectConfiguration', value);
      this.configuration = this.configurations[0]!;
    }

    claimInterface(number: number) {
      return this.#call('claimInterface', number);
    }

    controlTransferOut(setup: USBControlTransferParameters, data?: ArrayBuffer) {
      return this.#call('controlTransferOut', setup, ...(data ? [[...new Uint8Array(data)]] : []));
    }

    async transferIn(endpoint: number, length: number) {
      const { status, bytes } = await this.#call('transferIn', endpoint, length);
      return bytes ? { status, data: new DataView(Uint8Array.from(bytes).buffer) } : { status };
    }

    transferOut(endpoint: number, data: Uint8Array) {
      return this.#call('transferOut', endpoint, [...data]);
    }

    async clearHalt(direction: string, endpoint: number) {
      await this.#call('clearHalt', direction, endpoint);
    }

    async #call(method: Method, ...args: Argument[]): Promise<Answer> {
      const answer = await inPage.usbCall(this.#id, method, args);
      if (answer.error) throw new DOMException(answer.error.message, answer.error.name);
      return answer;
    }
  }

  const known = new Map<number, Device>();
  const deviceOf = (facts: DeviceFacts) => {
    const device = known.get(facts.id) ?? new Device(facts);
    known.set(facts.id, device);
    return device;
  };

  class Usb extends EventTarget {
    async getDevices() {
      return (await inPage.usbDevices()).map(deviceOf);
    }

    /** The chooser, of which the user takes the first line. */
    async requestDevice({ filters }: { filters: readonly { classCode: number }[] }) {
      const classes = filters.map(({ classCode }) => classCode);
      const listed = (await this.getDevices()).find(({ configurations }) =>
        configurations[0]!.interfaces.some(({ alternates }) =>
          classes.includes(alternates[0]!.interfaceClass),
        ),
      );
      if (!listed) throw new DOMException('No device selected.', 'NotFoundError');
      return listed;
    }
  }

  const usb = new Usb();
  inPage.usbTells = (type, of) => {
    const device = deviceOf(of);
    if (type === 'disconnect') device.opened = false;
    usb.dispatchEvent(Object.assign(new Event(type), { device }));
  };
  Object.defineProperty(navigator, 'usb', { value: usb });
  delete (Navigator.prototype as { serial?: unknown }).serial;
}
