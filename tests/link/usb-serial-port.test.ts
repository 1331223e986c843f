import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { PortError, type PortRead } from '../../app/link/port.ts';
import { Session, type SessionListeners, type SessionOptions } from '../../app/link/session.ts';
import type { SessionState } from '../../app/link/session-state.ts';
import { UsbSerialPort } from '../../app/link/usb-serial-port.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { SimulatedUsb, type SimulatedUsbDevice, VENDOR_SPECIFIC } from '../rig/simulated-usb.ts';
import { UsbBoard } from '../rig/usb-board.ts';
import { Readings } from '../whole/reading-chain.ts';

let usb: SimulatedUsb;
let board: UsbBoard;
let device: SimulatedUsbDevice;

beforeEach(() => {
  usb = new SimulatedUsb();
  board = new UsbBoard(20261201);
  device = usb.plug(board);
});
afterEach(() => board.stop());

const untilTrue = (holds: () => boolean) =>
  vi.waitFor(() => expect(holds(), String(holds)).toBe(true), { timeout: 30_000, interval: 20 });

/** A session on the port, with the readings that its stream leads to. */
async function live(port = new UsbSerialPort(device, usb), options: SessionOptions = {}) {
  const states: SessionState[] = [];
  let readings: Readings | null = null;
  const listeners: SessionListeners = {
    state: (state) => {
      states.push(state);
      if (state.phase === 'live') readings ??= new Readings(state.hello);
    },
    event: (event) => readings?.take(event),
  };
  const session = new Session(port, listeners, options);
  await session.open();
  await untilTrue(() => session.state.phase === 'live');
  return { port, session, states, readings: () => readings!.list };
}

/** Fires at this mark, in the dark, and waits until the blades are at rest. */
async function fire(mark: string): Promise<TrueFiring> {
  await untilTrue(() => board.core.state.blades === 'at rest');
  await dark();
  board.core.setDial(mark);
  board.core.fire();
  await untilTrue(() => board.core.state.blades === 'at rest');
  return board.core.firings.at(-1)!;
}

/** Waits for so many seconds of the board's time, which may lag behind ours. */
async function boardLives(seconds: number): Promise<void> {
  const until = board.core.cycle + seconds * CLOCK_HZ;
  await untilTrue(() => board.core.cycle >= until);
}

/** Long enough for the next firing to be armed, and for the last one to be read. */
const dark = () => boardLives(0.4);

/** Opens the port without a session. */
async function bare() {
  const port = new UsbSerialPort(device, usb);
  await port.open();
  return port;
}

/** Reads until `wanted` comes along. */
async function readUntil(port: UsbSerialPort, wanted: (read: PortRead) => boolean): Promise<PortRead[]> {
  const reads: PortRead[] = [];
  do reads.push(await port.read());
  while (!wanted(reads.at(-1)!));
  return reads;
}

describe('a board over WebUSB', () => {
  it('goes live and its firings are read as they were, without a fault or a gap', async () => {
    const { session, states, readings } = await live();
    const before = session.counts;
    const truths: TrueFiring[] = [];
    for (const mark of ['1/30', '1/125', '1/30']) {
      truths.push(await fire(mark));
    }
    await untilTrue(() => readings().length === 3);
    for (const [n, { kind, figures }] of readings().entries()) {
      const { effectiveTime } = truths[n]!;
      expect(kind).toBe('firing');
      expect(Math.abs(figures.effective! - effectiveTime)).toBeLessThan(5e-6 + 0.01 * effectiveTime);
    }
    expect(session.counts).toEqual(before);
    expect(session.counts).toMatchObject({ damaged: 0, faults: 0, lost: 0 });
    expect(device).toMatchObject({ dropped: 0, vendorId: 0x2341 });
    expect(device.mostPending).toBe(256);
    expect(states.slice(0, 2).map(({ phase }) => phase)).toEqual(['opening', 'greeting']);
    await session.close();
    expect(session.state).toMatchObject({ phase: 'lost', reason: 'closed' });
    expect(device.opened).toBe(false);
  });

  it('samples at the fast rate on a line of 1 Mbaud', async () => {
    const { session, readings } = await live(undefined, { rate: 'fast' });
    expect(session.state).toMatchObject({ hello: { ticksPerConversion: 26 } });
    expect(device.lineSpeeds).toEqual([1_000_000]);
    const truth = await fire('1/125');
    await dark();
    await untilTrue(() => readings().length === 1);
    const { kind, figures } = readings()[0]!;
    expect(kind).toBe('firing');
    expect(Math.abs(figures.effective! - truth.effectiveTime)).toBeLessThan(
      5e-6 + 0.01 * truth.effectiveTime,
    );
    expect(session.counts).toMatchObject({ damaged: 0, faults: 0, lost: 0 });
    await session.close();
  });

  it('sets the line up: speed, 8 bits, no parity, and a reset by DTR and RTS', async () => {
    const port = await bare();
    expect(device.lineSpeeds).toEqual([500_000]);
    expect(device.lineStates).toEqual([0b01, 0b00, 0b11]);
    expect(board.resets).toBe(2);
    await port.pulseReset();
    expect(device.lineStates.slice(3)).toEqual([0b00, 0b11]);
    expect(board.resets).toBe(3);
    await port.close();
    expect(device.lineStates.at(-1)).toBe(0b00);

    await port.open(1_000_000);
    expect(device.lineSpeeds).toEqual([500_000, 1_000_000]);
    await port.close();
  });

  it('resets a board whose DTR was left set by a page that went away', async () => {
    await bare();
    await device.close(); // the browser does that much
    const resets = board.resets;
    const port = await bare();
    expect(board.resets).toBe(resets + 1);
    await port.close();
  });

  it('ends a firing under way as spoilt when the cable is pulled, and says so', async () => {
    const { session, readings } = await live();
    await dark();
    board.core.setDial('1');
    board.core.fire();
    await boardLives(0.3);
    usb.pull();
    await untilTrue(() => session.state.phase === 'lost');
    expect(session.state).toMatchObject({
      reason: 'disconnected',
      sentence: expect.stringContaining('Plug it'),
    });
    expect(readings()).toMatchObject([
      { kind: 'spoilt', firing: { spoilt: 'disconnected' }, figures: { effective: null } },
    ]);
    expect(device.opened).toBe(false);
    await expect(session.command({ type: 'hello' })).rejects.toThrow(PortError);

    device = usb.plug(board);
    const again = await live();
    const truth = await fire('1/30');
    await untilTrue(() => again.readings().length === 1);
    const { effective } = again.readings()[0]!.figures;
    expect(Math.abs(effective! - truth.effectiveTime)).toBeLessThan(0.01 * truth.effectiveTime);
    await again.session.close();
  });

  it('notices a board that is gone when the browser does not tell', async () => {
    const { session } = await live();
    usb.pull({ told: false });
    await untilTrue(() => session.state.phase === 'lost');
    expect(session.state).toMatchObject({ reason: 'disconnected' });
  });

  it('notices it by the word of the browser, when no transfer ends', async () => {
    const port = await bare();
    const ended = readUntil(port, ({ kind }) => kind === 'ended');
    usb.dispatchEvent(Object.assign(new Event('disconnect'), { device: { ...device } }));
    usb.dispatchEvent(Object.assign(new Event('disconnect'), { device }));
    expect((await ended).at(-1)).toEqual({ kind: 'ended', cause: 'disconnected' });
    await port.close();
  });

  it('hears nothing of what the board said before it was reset', async () => {
    const port = new UsbSerialPort(device, usb);
    for (let n = 0; n < 2; n++) {
      await port.open();
      const reading = readUntil(port, ({ kind }) => kind === 'ended');
      await boardLives(0.4);
      await port.close();
      const introductions: string[] = [];
      const reader = new MessageReader();
      for (const read of await reading)
        if (read.kind === 'bytes')
          reader.push(
            read.bytes,
            ({ type }) => introductions.push(type),
            () => introductions.push('damage'),
          );
      expect(introductions.filter((type) => type === 'hello')).toHaveLength(1);
    }
  });

  it('can be closed and opened again, time after time, on the same object', async () => {
    const port = new UsbSerialPort(device, usb);
    for (let n = 0; n < 3; n++) {
      const { session } = await live(port);
      await session.close();
      expect(device.opened).toBe(false);
    }
  });

  it('after closing, a waiting read ends once, and no transfer is asked for any more', async () => {
    const port = await bare();
    const asked = vi.spyOn(device, 'transferIn');
    const reading = readUntil(port, ({ kind }) => kind === 'ended');
    await port.close();
    expect((await reading).at(-1)).toEqual({ kind: 'ended', cause: 'closed' });
    const after = asked.mock.calls.length;
    await dark();
    expect(asked.mock.calls.length).toBe(after);
  });

  it('is closed in the end even when the board no longer answers', async () => {
    const port = await bare();
    device.deaf = true;
    await port.close();
    expect(device.opened).toBe(false);
  });

  it('keeps transfers out for a page that is busy', async () => {
    const { session } = await live();
    const { gaps } = session.counts;
    // The board runs in this thread: while it is held up, the board lives through the same time in slices.
    for (const end = performance.now() + 300; performance.now() < end; );
    await dark();
    expect(session.counts).toMatchObject({ gaps, damaged: 0 });
    expect(device.dropped).toBe(0);
    await session.close();
  });
});

describe('a transfer that goes wrong', () => {
  const faults = {
    stall: () => device.halt('in'),
    babble: () => device.babble(),
    NetworkError: () => device.failTransfer(),
  };

  it.each(Object.keys(faults) as (keyof typeof faults)[])(
    '%s: one fault, and the bytes go on',
    async (name) => {
      const { session } = await live();
      const { faults: before, gaps } = session.counts;
      faults[name]();
      await untilTrue(() => session.counts.faults > before);
      await dark();
      expect(session.counts.faults).toBe(before + 1);
      expect(session.counts.gaps).toBeGreaterThan(gaps);
      expect(session.state.phase).toBe('live');
      await dark();
      const truth = await fire('1/125');
      expect(truth.mark).toBe('1/125');
      await session.close();
    },
  );

  it('a firing during which one failed is spoilt', async () => {
    const { session, readings } = await live();
    await dark();
    board.core.setDial('1');
    board.core.fire();
    await boardLives(0.3);
    device.halt('in');
    await untilTrue(() => readings().length === 1);
    expect(readings()[0]).toMatchObject({ kind: 'spoilt', figures: { effective: null } });
    await session.close();
  });

  it('a board that stalls for ever is given up', async () => {
    const { session } = await live();
    vi.spyOn(device, 'clearHalt').mockResolvedValue(undefined);
    device.halt('in');
    await untilTrue(() => session.state.phase === 'lost');
    expect(session.state).toMatchObject({ reason: 'disconnected' });
    expect(device.opened).toBe(false);
  });

  it('a command the board did not take is told, and the next one goes through', async () => {
    const { port, session } = await live();
    device.halt('out');
    await expect(port.write(Uint8Array.of(0))).rejects.toMatchObject({ code: 'write failed' });
    await session.command({ type: 'channels', mask: 1 });
    await session.close();
    await expect(port.write(Uint8Array.of(0))).rejects.toMatchObject({ code: 'gone' });
    await expect(port.pulseReset()).rejects.toMatchObject({ code: 'gone' });
  });
});

describe('a board that can’t be opened', () => {
  const opening = () => new UsbSerialPort(device, usb).open(1_000_000);

  it('is held by the system’s driver: the sentence says so and what to use', async () => {
    device.held = true;
    const words = expect.stringMatching(/driver, another program or another tab holds it.*Web Serial/);
    await expect(opening()).rejects.toMatchObject({ name: 'PortError', code: 'busy', message: words });
    expect(device.opened).toBe(false);
  });

  it('is out of reach for this user', async () => {
    device.denied = true;
    await expect(opening()).rejects.toMatchObject({
      code: 'no permission',
      message: expect.stringContaining('did not let the browser'),
    });
  });

  it('has a chip with a protocol of its own', async () => {
    device = usb.plug(board, { classes: VENDOR_SPECIFIC, vendorId: 0x1a86, productId: 0x7523 });
    await expect(opening()).rejects.toMatchObject({
      code: 'failed',
      message: expect.stringMatching(/CH340, FTDI or CP210x.*Web Serial/),
    });
    expect(device.opened).toBe(false);
  });

  it('is not there any more', async () => {
    usb.pull();
    await expect(opening()).rejects.toMatchObject({ code: 'gone' });
  });

  it('does not take the speed, and is left closed', async () => {
    device.fastestLine = 500_000;
    await expect(opening()).rejects.toMatchObject({
      code: 'failed',
      message: expect.stringContaining('speed of the line'),
    });
    expect(device.opened).toBe(false);
    await new UsbSerialPort(device, usb).open(500_000);
  });

  it('is no tester: nothing introduces itself, and the session says so', async () => {
    const silent = vi.spyOn(board, 'write').mockImplementation(() => undefined);
    board.onBytes = () => undefined;
    const session = new Session(new UsbSerialPort(device, usb), { state: () => {}, event: () => {} });
    await session.open();
    expect(silent).toHaveBeenCalled();
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'nothing heard' });
  });
});
