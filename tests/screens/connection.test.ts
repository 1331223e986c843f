import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import { beginContactLead, beginLightCheck, beginSelfTimer } from '../../app/screens/actions/begin-check.ts';
import { abandonCheck, isChecking } from '../../app/screens/actions/checks.ts';
import { connectBoard, disconnect } from '../../app/screens/actions/connection.ts';
import { view } from '../../app/screens/view.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { FakePort, hello, status } from '../link/fake-port.ts';

let port: FakePort;
let kind: Hello['kind'] = 'samples';
/** What the page opens next is a board of its own. */
vi.mock('../../app/link/native-serial-port.ts', () => ({
  commonBoards: [{ usbVendorId: 1 }],
  NativeSerialPort: class {
    constructor() {
      port = new FakePort();
      port.introduction = { ...hello, kind };
      // biome-ignore lint/correctness/noConstructorReturn: the page holds the port that the test speaks by
      return port;
    }
  },
}));

const granted = { getInfo: () => ({ usbVendorId: 1, usbProductId: 2 }) };

async function connect(): Promise<void> {
  void connectBoard();
  await vi.advanceTimersByTimeAsync(1);
  port.say(port.introduction);
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
  kind = 'samples';
  vi.useFakeTimers();
  vi.stubGlobal('navigator', { serial: { getPorts: async () => [granted] } });
  // At the normal rate; how the fast one is chosen is in sampling-rate.test.ts.
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => (key === 'leafclock.sampling-rate' ? 'normal' : null),
    setItem: () => {},
  });
  vi.stubGlobal('window', { isSecureContext: true, navigator: globalThis.navigator, document: {} });
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

  it('of the light is refused by a board that times edges; those of contact and self-timer are not', async () => {
    kind = 'edges';
    await connect();
    beginLightCheck();
    expect(isChecking()).toBe(false);
    expect(troubles()).toContain('sends no light');
    beginContactLead();
    expect(view.getState().checking).toMatchObject({ kind: 'contact lead', closures: 0 });
    for (const [at, closed] of [
      [1000, true],
      [400_000, false],
    ] as const)
      port.say({ type: 'edge', sequence: 0, input: 'contact', closed, tick: ticks(at), lost: 0 });
    await vi.advanceTimersByTimeAsync(1);
    expect(view.getState().checking).toMatchObject({ closed: false, closures: 1 });
    abandonCheck();
    expect(view.getState().eye.phase).toBe('no light channel');
    beginSelfTimer();
    expect(view.getState().checking).toMatchObject({ kind: 'self-timer', step: 'wait for release' });
  });

  it('knows how the contact stood before it began', async () => {
    await connect();
    port.say({ type: 'edge', sequence: 0, input: 'contact', closed: true, tick: ticks(1000), lost: 0 });
    await vi.advanceTimersByTimeAsync(1);
    beginContactLead();
    expect(view.getState().checking).toMatchObject({ closed: true });
  });
});
