import fs from 'node:fs';
import path from 'node:path';

/** A serial port as the browser sees it. The four identifying figures must match a permission exactly. */
export interface PortIdentity {
  /** As in /dev: 'ttyLeaf0'. */
  readonly name: string;
  readonly vendorId: number;
  readonly productId: number;
  readonly product: string;
  readonly serialNumber: string;
}

/** An Uno's USB figures, with a serial number of our own. */
export const UNO: PortIdentity = {
  name: 'ttyLeaf0',
  vendorId: 0x2341,
  productId: 0x0043,
  product: 'Emulated board',
  serialNumber: 'RIG0001',
};

/** The ports that the stand-in libudev shows to the browser, one file for each. */
export class PortList {
  readonly directory: string;

  constructor(directory: string) {
    this.directory = directory;
    fs.mkdirSync(directory, { recursive: true });
  }

  /** The browser is told at once: the file is written aside and then renamed in. */
  add(port: PortIdentity, device: string): void {
    const hex = (n: number) => n.toString(16).padStart(4, '0');
    const { major, minor } = firstSerialDriver();
    const properties = {
      DEVNAME: device,
      MAJOR: major,
      MINOR: minor,
      ID_VENDOR_ID: hex(port.vendorId),
      ID_MODEL_ID: hex(port.productId),
      ID_MODEL_ENC: port.product.replaceAll(' ', '\\x20'),
      ID_SERIAL_SHORT: port.serialNumber,
    };
    const text = Object.entries(properties).map(([key, value]) => `${key}=${value}\n`);
    const aside = path.join(this.directory, `.${port.name}`);
    fs.writeFileSync(aside, text.join(''));
    fs.renameSync(aside, path.join(this.directory, port.name));
  }

  remove(port: PortIdentity): void {
    fs.rmSync(path.join(this.directory, port.name), { force: true });
  }
}

/** Chromium shows a port only if its device number belongs to a driver of the kind 'serial'. */
function firstSerialDriver(): { major: string; minor: string } {
  for (const line of fs.readFileSync('/proc/tty/drivers', 'utf8').split('\n')) {
    const [, , major, minors, kind] = line.trim().split(/\s+/);
    if (kind === 'serial' && major && minors) return { major, minor: minors.split('-')[0] as string };
  }
  throw new Error('/proc/tty/drivers has no driver of the kind "serial": Chromium would show no port here');
}
