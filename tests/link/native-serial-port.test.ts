/** Errors of the browser's ports by their names, and what may hang in them. */
import { afterEach, describe, expect, it, vi } from 'vitest';
import { NativeSerialPort } from '../../app/link/native-serial-port.ts';

/** As much of Web Serial's port as is used. */
class FakeSerialPort {
  opened: unknown = null;
  failsWith: string | null = null;
  /** What the page has written, once it is taken. */
  readonly taken: number[][] = [];
  /** Lets go of a write; null: each is taken at once. */
  take: (() => void) | null = null;
  blocks = false;
  readable: ReadableStream<Uint8Array> | null = null;
  writable: WritableStream<Uint8Array> | null = null;
  source: ReadableStreamDefaultController<Uint8Array> | null = null;

  async open(options: unknown): Promise<void> {
    // No instance of Error: some browsers' DOMException is none.
    if (this.failsWith) throw { name: this.failsWith, message: '' };
    this.opened = options;
    this.readable = new ReadableStream({
      start: (controller) => {
        this.source = controller;
      },
    });
    this.writable = new WritableStream({
      write: async (bytes) => {
        if (this.blocks)
          await new Promise<void>((resolve) => {
            this.take = resolve;
          });
        this.taken.push([...bytes]);
      },
    });
  }

  /** As the specification has it: a stream that is locked keeps a port from closing. */
  async close(): Promise<void> {
    if (this.readable?.locked || this.writable?.locked) throw new TypeError('locked');
    this.opened = null;
    this.readable = null;
    this.writable = null;
  }

  getInfo = () => ({});
}

afterEach(() => vi.unstubAllGlobals());

function made({ isThere = true } = {}) {
  const fake = new FakeSerialPort();
  vi.stubGlobal('navigator', { serial: { getPorts: async () => (isThere ? [fake] : []) } });
  return { fake, port: new NativeSerialPort(fake as unknown as SerialPort) };
}

describe('a port of Web Serial', () => {
  it('is opened with a buffer that holds ten seconds, at the speed asked for', async () => {
    const { fake, port } = made();
    await port.open(1_000_000);
    expect(fake.opened).toEqual({ baudRate: 1_000_000, bufferSize: 1_048_576 });
    await port.close();
    await port.open();
    expect(fake.opened).toMatchObject({ baudRate: 500_000 });
  });

  it.each([
    ['NetworkError', true, 'busy', /Another program.*close that/],
    ['NetworkError', false, 'gone', /could not be opened.*cable/],
    ['InvalidStateError', true, 'busy', /already has the port open.*Reload/],
    ['SecurityError', true, 'no permission', /Allow/],
    ['TypeError', true, 'failed', /speed/],
  ])('that does not open for %s (still there: %s) says what to do', async (name, isThere, code, words) => {
    const { fake, port } = made({ isThere });
    fake.failsWith = name;
    await expect(port.open()).rejects.toMatchObject({ code, message: expect.stringMatching(words) });
  });

  it('reads on after a fault, and ends with the device', async () => {
    const { fake, port } = made();
    await port.open();
    fake.source!.enqueue(Uint8Array.of(1, 2));
    expect(await port.read()).toMatchObject({ kind: 'bytes', bytes: Uint8Array.of(1, 2) });
    const next = new ReadableStream<Uint8Array>({
      start: (controller) => controller.enqueue(Uint8Array.of(3)),
    });
    fake.source!.error({ name: 'FramingError' });
    expect(await port.read()).toEqual({ kind: 'fault', name: 'FramingError' });
    fake.readable = next;
    expect(await port.read()).toMatchObject({ bytes: Uint8Array.of(3) });
    fake.readable = null;
    await port.close();
    expect(await port.read()).toEqual({ kind: 'ended', cause: 'closed' });
  });

  it('ends with NetworkError as unplugged', async () => {
    const { fake, port } = made();
    await port.open();
    fake.source!.error({ name: 'NetworkError' });
    expect(await port.read()).toEqual({ kind: 'ended', cause: 'disconnected' });
  });

  it('lets writes wait for each other', async () => {
    const { fake, port } = made();
    await port.open();
    await Promise.all([
      port.write(Uint8Array.of(1)),
      port.write(Uint8Array.of(2)),
      port.write(Uint8Array.of(3)),
    ]);
    expect(fake.taken).toEqual([[1], [2], [3]]);
  });

  it('closes though a write is never taken, with a read pending, and opens again', async () => {
    const { fake, port } = made();
    await port.open();
    fake.blocks = true;
    const written = port.write(Uint8Array.of(1)).catch(() => 'not written');
    const waiting = port.write(Uint8Array.of(2)).catch(() => 'not written');
    const read = port.read();
    await Promise.resolve();
    await port.close();
    expect(fake.opened).toBeNull();
    expect(await read).toEqual({ kind: 'ended', cause: 'closed' });
    fake.take?.();
    expect(await waiting).toBe('not written');
    await written;
    fake.blocks = false;
    await port.open();
    await port.write(Uint8Array.of(4));
    expect(fake.taken.at(-1)).toEqual([4]);
  });

  it('refuses a write to a port that is gone', async () => {
    const { port } = made();
    await expect(port.write(Uint8Array.of(1))).rejects.toMatchObject({ code: 'gone' });
  });
});
