/** A board that goes and comes back, another tab, a page that is loaded anew. */
import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { PortError } from '../../app/link/port.ts';
import { newJob } from '../../app/record/new-job.ts';
import { connectBoard, disconnect } from '../../app/screens/actions/connection.ts';
import { watchPorts } from '../../app/screens/actions/staying-connected.ts';
import { view } from '../../app/screens/view.ts';
import { FakePort, hello } from '../link/fake-port.ts';

/** Every port that the page has made, oldest first. */
const ports: FakePort[] = [];
/** What opening the next ones comes to. */
let openings: (PortError | null)[] = [];
vi.mock('../../app/link/native-serial-port.ts', () => ({
  commonBoards: [{ usbVendorId: 0x2341 }],
  NativeSerialPort: class {
    constructor() {
      const port = new FakePort();
      const { open } = port;
      port.open = async (baudRate) => {
        port.openFails = openings.shift() ?? null;
        await open.call(port, baudRate);
        port.restartNumbers();
        setTimeout(() => port.say(hello), 1);
      };
      ports.push(port);
      // biome-ignore lint/correctness/noConstructorReturn: the page holds the port that the test speaks by
      return port;
    }
  },
}));

const device = (usbProductId: number) => ({ getInfo: () => ({ usbVendorId: 0x2341, usbProductId }) });
let granted: ReturnType<typeof device>[];
let onConnect: (event: { target: unknown }) => void;
let ofPage: Map<string, (event: { persisted: boolean }) => void>;
let kept: Map<string, string>;
/** Another tab holds the lock. */
let takenElsewhere: boolean;
let locks: number;

beforeEach(() => {
  ports.length = 0;
  openings = [];
  granted = [device(0x43)];
  ofPage = new Map();
  kept = new Map([['leafclock.sampling-rate', 'normal']]);
  takenElsewhere = false;
  locks = 0;
  vi.useFakeTimers();
  const storage = {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => kept.set(key, value),
    removeItem: (key: string) => kept.delete(key),
  };
  vi.stubGlobal('localStorage', storage);
  vi.stubGlobal('sessionStorage', storage);
  vi.stubGlobal('addEventListener', (name: string, listener: () => void) => ofPage.set(name, listener));
  vi.stubGlobal('navigator', {
    serial: {
      getPorts: async () => granted,
      addEventListener: (_: string, listener: typeof onConnect) => {
        onConnect = listener;
      },
    },
    locks: {
      request: async (_: string, __: object, hold: (lock: object | null) => Promise<void> | null) => {
        if (takenElsewhere || locks > 0) return hold(null);
        locks++;
        await hold({});
        locks--;
      },
    },
  });
  vi.stubGlobal('window', { isSecureContext: true, navigator: globalThis.navigator, document: {} });
  view.setState({
    job: newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }),
    notices: [],
  });
  watchPorts();
});
afterEach(async () => {
  await disconnect();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const opened = () => ports.reduce((sum, { speeds }) => sum + speeds.length, 0);
const session = () => view.getState().session;
const notices = () =>
  view
    .getState()
    .notices.map(({ text }) => text)
    .join();
const soon = () => vi.advanceTimersByTimeAsync(50);
const busy = () => new PortError('busy', 'Another program has it.');

async function connected(): Promise<FakePort> {
  void connectBoard();
  await soon();
  expect(session().phase).toBe('live');
  return ports.at(-1)!;
}
async function pull(port: FakePort): Promise<void> {
  port.put({ kind: 'ended', cause: 'disconnected' });
  await soon();
  expect(session()).toMatchObject({ phase: 'lost', reason: 'disconnected' });
}

describe('a board that was pulled', () => {
  it('is taken up when it is plugged in again', async () => {
    await pull(await connected());
    onConnect({ target: device(0x43) });
    await soon();
    expect(session().phase).toBe('live');
    expect(opened()).toBe(2);
  });

  it('is taken up also when it comes back before its loss was noticed', async () => {
    const port = await connected();
    onConnect({ target: device(0x43) });
    await soon();
    expect(opened()).toBe(1);
    port.put({ kind: 'ended', cause: 'disconnected' });
    await soon();
    expect(session().phase).toBe('live');
    expect(opened()).toBe(2);
  });

  it('is not mistaken for another kind, nor taken up after the user has left it', async () => {
    const port = await connected();
    await pull(port);
    onConnect({ target: device(0x99) });
    await soon();
    expect(session().phase).toBe('lost');
    await disconnect();
    onConnect({ target: device(0x43) });
    await soon();
    expect(session().phase).toBe('idle');
    expect(opened()).toBe(1);
  });

  it('is tried for some seconds while another program looks at what was plugged in', async () => {
    await pull(await connected());
    openings = [busy(), busy()];
    onConnect({ target: device(0x43) });
    await soon();
    expect(session()).toMatchObject({ phase: 'refused', reason: 'could not open' });
    await vi.advanceTimersByTimeAsync(3100);
    expect(session().phase).toBe('live');
    expect(notices()).not.toContain('Another program');
  });

  it('is left to the user when the other program keeps it', async () => {
    await pull(await connected());
    openings = Array.from({ length: 10 }, busy);
    onConnect({ target: device(0x43) });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(openings).toHaveLength(6);
    expect(session()).toMatchObject({ phase: 'refused', reason: 'could not open' });
    expect(notices()).toContain('Another program');
  });
});

describe('another tab', () => {
  it('that has a board keeps this one out, with a sentence; nothing is opened', async () => {
    takenElsewhere = true;
    void connectBoard();
    await soon();
    expect(session()).toMatchObject({ phase: 'refused', reason: 'in another tab' });
    expect(notices()).toMatch(/Another tab .*(Close|disconnect)/);
    expect(opened()).toBe(0);
    takenElsewhere = false;
    await connected();
  });

  it('may have it as soon as this one has closed its port: left, pulled or refused', async () => {
    const port = await connected();
    expect(locks).toBe(1);
    await pull(port);
    expect(locks).toBe(0);
    await connected();
    await disconnect();
    await soon();
    expect(locks).toBe(0);
    openings = [busy()];
    void connectBoard();
    await soon();
    expect(session().phase).toBe('refused');
    expect(locks).toBe(0);
  });

  it('may not have it while the board is silent: its port is open', async () => {
    await connected();
    await vi.advanceTimersByTimeAsync(3000);
    expect(session()).toMatchObject({ phase: 'lost', reason: 'silent' });
    expect(locks).toBe(1);
  });
});

describe('a page that is loaded anew', () => {
  const loadAnew = async () => {
    watchPorts();
    await soon();
  };

  it('takes up the board that this tab had', async () => {
    kept.set('leafclock.board-in-use', '2341:0043');
    await loadAnew();
    expect(session().phase).toBe('live');
  });

  it.each([
    ['this tab had none', () => kept.delete('leafclock.board-in-use')],
    ['it was of another kind', () => kept.set('leafclock.board-in-use', '2341:0099')],
    ['there are two of its kind', () => granted.push(device(0x43))],
    [
      'it is not there',
      () => {
        granted = [];
      },
    ],
  ])('takes up none when %s', async (_, make) => {
    kept.set('leafclock.board-in-use', '2341:0043');
    make();
    await loadAnew();
    expect(session().phase).toBe('idle');
    expect(opened()).toBe(0);
  });

  it('takes up the board when it is plugged in later', async () => {
    kept.set('leafclock.board-in-use', '2341:0043');
    granted = [];
    await loadAnew();
    onConnect({ target: device(0x43) });
    await soon();
    expect(session().phase).toBe('live');
  });

  it('says nothing and opens nothing while another tab has the board', async () => {
    kept.set('leafclock.board-in-use', '2341:0043');
    takenElsewhere = true;
    await loadAnew();
    expect(session().phase).toBe('idle');
    expect(notices()).toBe('');
  });
});

it('a page that is put aside lets go of the board, and takes it up when it is shown again', async () => {
  await connected();
  ofPage.get('pagehide')!({ persisted: false });
  await soon();
  expect(session().phase).toBe('live');
  ofPage.get('pagehide')!({ persisted: true });
  await soon();
  expect(session().phase).toBe('idle');
  expect(locks).toBe(0);
  ofPage.get('pageshow')!({ persisted: true });
  await soon();
  expect(session().phase).toBe('live');
});
