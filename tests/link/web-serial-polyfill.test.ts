/**
 * Why the bytes of a board over WebUSB don't go through the streams of web-serial-polyfill 1.0.15. If one of these
 * fails with a newer version, app/link/usb-serial-port.ts may become shorter.
 */
import { expect, it } from 'vitest';
import { SerialPort } from 'web-serial-polyfill';
import { CDC, SimulatedUsbDevice } from '../rig/simulated-usb.ts';
import { UsbBoard } from '../rig/usb-board.ts';

/** A device whose transfers the test answers. */
class AnsweredDevice extends SimulatedUsbDevice {
  readonly asked: { readonly length: number; answer(bytes: readonly number[]): void }[] = [];

  override transferIn(_: number, length: number): Promise<USBInTransferResult> {
    return new Promise((resolve) => {
      const answer = (bytes: readonly number[]) =>
        resolve({ status: 'ok', data: new DataView(Uint8Array.from(bytes).buffer) });
      this.asked.push({ length, answer });
    });
  }

  override async transferOut(): Promise<USBOutTransferResult> {
    return { status: 'stall', bytesWritten: 0 };
  }
}

async function openPort(bufferSize = 255) {
  const board = new UsbBoard(1);
  board.stop();
  const device = new AnsweredDevice(board, { classes: CDC });
  const port = new SerialPort(device);
  await port.open({ baudRate: 500_000, bufferSize });
  return { device, port };
}

const turn = () => new Promise((resolve) => setTimeout(resolve));

it('one more transfer stays out with each read, each as long as the buffer', async () => {
  const { device, port } = await openPort(1 << 20);
  const reader = port.readable!.getReader();
  let answered = 0;
  for (let n = 0; n < 50; n++) {
    const read = reader.read();
    await turn();
    device.asked[answered++]!.answer([1, 2, 3]);
    await read;
    await turn();
  }
  expect(device.asked.length - answered).toBeGreaterThanOrEqual(50);
  expect(device.asked[0]!.length).toBe(1 << 20);
});

it('an empty packet, as follows a full one, ends the stream, with a string for an error', async () => {
  const { device, port } = await openPort();
  const read = port.readable!.getReader().read();
  await turn();
  device.asked[0]!.answer([]);
  await expect(read).rejects.toEqual(expect.stringContaining('TypeError'));
});

it('after cancel() the property is still there: a loop that looks at it would spin', async () => {
  const { port } = await openPort();
  const before = port.readable!;
  const reader = before.getReader();
  await reader.cancel();
  reader.releaseLock();
  expect(port.readable).toBe(before);
  expect(await port.readable!.getReader().read()).toEqual({ value: undefined, done: true });
});

it('a write that the device refused is told as done', async () => {
  const { port } = await openPort();
  await expect(port.writable!.getWriter().write(Uint8Array.of(1))).resolves.toBeUndefined();
});

it('what goes wrong while it opens comes as text', async () => {
  const board = new UsbBoard(1);
  board.stop();
  const device = new SimulatedUsbDevice(board);
  device.held = true;
  const opening = new SerialPort(device).open({ baudRate: 500_000 });
  await expect(opening).rejects.toThrow('Error setting up device: NetworkError: Unable to claim interface.');
  expect(device.opened).toBe(false);
});
