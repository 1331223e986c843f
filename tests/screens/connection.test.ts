import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import { isChecking } from '../../app/screens/actions/checks.ts';
import { beginLightCheck, connectBoard, disconnect } from '../../app/screens/actions/connection.ts';
import { view } from '../../app/screens/view.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { FakePort, hello, status } from '../link/fake-port.ts';

let port: FakePort;
/** What the page opens next is a board of its own. */
vi.mock('../../app/link/native-serial-port.ts', () => ({
  commonBoards: [{ usbVendorId: 1 }],
  NativeSerialPort: class {
    constructor() {
      port = new FakePort();
      // biome-ignore lint/correctness/noConstructorReturn: the page holds the port that the test speaks by
      return port;
    }
  },
}));

const granted = { getInfo: () => ({ usbVendorId: 1, usbProductId: 2 }) };

async function connect(): Promise<void> {
  void connectBoard();
  await vi.advanceTimersByTimeAsync(1);
  port.say(hello);
  await vi.advanceTimersByTimeAsync(1);
  expect(view.getState().session.phase).toBe('live');
}

/** Ten blocks a second from a board whose clock is fast by so much. */
async function stream(time: number, ppm: number): Promise<void> {
  const begun = performance.now();
  for (let sent = 0; sent < 10 * time; sent++) {
    await vi.advanceTimersByTimeAsync(100);
    const tick = Math.round(((performance.now() - begun) / 1000) * hello.tickHz * (1 + ppm * 1e-6));
    port.say({ ...status, tick: ticks(tick) }, performance.now());
    port.block(sent, [10], tick, performance.now());
  }
}

const troubles = () =>
  view
    .getState()
    .notices.map(({ text }) => text)
    .join();

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('navigator', { serial: { getPorts: async () => [granted] } });
  vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => {} });
  view.setState({
    job: newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }),
    notices: [],
    screen: 'checks',
  });
});
afterEach(async () => {
  await disconnect();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

describe("a board's clock", () => {
  it('is compared while it is connected, and forgotten when it is pulled or another comes', async () => {
    await connect();
    await stream(32, 4000);
    expect(view.getState().clock!.ppm).toBeCloseTo(4000, 0);
    port.put({ kind: 'ended', cause: 'disconnected' });
    await vi.advanceTimersByTimeAsync(20_000);
    expect(view.getState().clock).toBeNull();
    await connect();
    await stream(15, -2000);
    expect(view.getState().clock).toBeNull();
    await stream(30, -2000);
    expect(view.getState().clock!.ppm).toBeCloseTo(-2000, 0);
  });

  it('is forgotten when the board is put away, or reset', async () => {
    await connect();
    await stream(32, 4000);
    expect(view.getState().clock).not.toBeNull();
    port.restartNumbers();
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    expect(view.getState().clock).toBeNull();
    view.setState({ clock: { ppm: 1, uncertainty: 1, observedSeconds: 30 } });
    await disconnect();
    expect(view.getState().clock).toBeNull();
  });
});

describe('a check', () => {
  it('ends with the board, pulled or put away', async () => {
    await connect();
    beginLightCheck();
    expect(isChecking()).toBe(true);
    port.put({ kind: 'ended', cause: 'disconnected' });
    await vi.advanceTimersByTimeAsync(1);
    expect(isChecking()).toBe(false);
    expect(troubles()).toContain('the board is not there');
    await connect();
    beginLightCheck();
    expect(isChecking()).toBe(true);
    await disconnect();
    expect(isChecking()).toBe(false);
    expect(view.getState().checking).toBeNull();
  });

  it('does not begin while a firing is under way, nor a second one beside another', async () => {
    await connect();
    view.setState({ eye: { phase: 'open', code: 200 } });
    beginLightCheck();
    expect(isChecking()).toBe(false);
    expect(troubles()).toContain('shutter is open');
    view.setState({ eye: { phase: 'armed', code: 10 } });
    beginLightCheck();
    const first = view.getState().checking;
    beginLightCheck();
    expect(view.getState().checking).toBe(first);
  });
});
