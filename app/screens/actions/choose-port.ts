/** Where the ports of real boards come from: Web Serial, else a USB device. */
import { commonBoards, NativeSerialPort } from '../../link/native-serial-port.ts';
import type { BoardPort } from '../../link/port.ts';
import { CDC_FILTERS, cdcEndpoints } from '../../link/usb-cdc.ts';
import { wayIn } from '../../link/way-in.ts';
import { say } from './notices.ts';
import { type BoardKind, boardKind } from './rate-memory.ts';

/** A port that may be opened, and what kind of board it is of. */
export interface FoundPort {
  readonly port: BoardPort;
  readonly kind: BoardKind | null;
}

/** A board that the user has granted and that is there: it needs no chooser. */
export interface GrantedBoard {
  readonly kind: BoardKind | null;
  find(): Promise<FoundPort>;
}

/** The common boards among the ports, or the USB devices with a serial line, that the user has granted. */
export async function grantedBoards(): Promise<readonly GrantedBoard[]> {
  if (wayIn(window).by === 'usb') {
    const devices = await navigator.usb.getDevices().catch(() => []);
    return devices.filter(cdcEndpoints).map(usbBoard);
  }
  const isCommon = (port: SerialPort) =>
    commonBoards.some(({ usbVendorId }) => usbVendorId === port.getInfo().usbVendorId);
  return (await grantedPorts()).filter(isCommon).map(serialBoard);
}

/** Those of one kind that are there, common or not: the user has chosen one like it before. */
export async function grantedOfKind(kind: BoardKind): Promise<readonly GrantedBoard[]> {
  const boards = wayIn(window).by === 'usb' ? await grantedBoards() : (await grantedPorts()).map(serialBoard);
  return boards.filter((board) => board.kind === kind);
}

const grantedPorts = async (): Promise<readonly SerialPort[]> =>
  'serial' in navigator ? navigator.serial.getPorts().catch(() => []) : [];

/** Tells of each granted board that is plugged in from now on. */
export function watchPlugging(plugged: (board: GrantedBoard) => void): void {
  const { by } = wayIn(window);
  if (by === 'serial')
    navigator.serial.addEventListener('connect', (event) => plugged(serialBoard(event.target as SerialPort)));
  if (by === 'usb')
    navigator.usb.addEventListener('connect', (event) =>
      plugged(usbBoard((event as USBConnectionEvent).device)),
    );
}

/**
 * A board that was granted before and is there needs no chooser, unless there are several or `choose` is set. Null,
 * after a word to the user, when there is none.
 */
export async function choosePort({ choose = false } = {}): Promise<FoundPort | null> {
  try {
    const granted = choose ? [] : await grantedBoards();
    return await (granted.length === 1 ? granted[0]! : await askForBoard()).find();
  } catch (error) {
    const name = (error as { name?: string } | null)?.name;
    if (name === 'NotFoundError') say('No port was chosen.');
    else say(`The browser did not give a port: ${(error as Error).message}`, 'trouble');
    return null;
  }
}

async function askForBoard(): Promise<GrantedBoard> {
  if (wayIn(window).by === 'usb')
    return usbBoard(await navigator.usb.requestDevice({ filters: CDC_FILTERS }));
  return serialBoard(await navigator.serial.requestPort());
}

function serialBoard(port: SerialPort): GrantedBoard {
  const { usbVendorId, usbProductId } = port.getInfo();
  const kind = boardKind(usbVendorId, usbProductId);
  return { kind, find: async () => ({ kind, port: new NativeSerialPort(port) }) };
}

function usbBoard(device: USBDevice): GrantedBoard {
  const kind = boardKind(device.vendorId, device.productId);
  const find = async () => {
    // web-serial-polyfill is loaded here, and not with the page.
    const { UsbSerialPort } = await import('../../link/usb-serial-port.ts');
    return { kind, port: new UsbSerialPort(device, navigator.usb) };
  };
  return { kind, find };
}
