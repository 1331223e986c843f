/** Putting the firmware on from the page: what the page does before and after, and what it does not do meanwhile. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { FlashError, type FlashProgress } from '../../app/link/flashing/firmware-report.ts';
import type { FlashOptions } from '../../app/link/flashing/put-firmware-on.ts';
import type { BoardPort } from '../../app/link/port.ts';
import { connectBoard, connectPractice, disconnect } from '../../app/screens/actions/connection.ts';
import {
  flashBoard,
  giveUpFlashing,
  isFlashing,
  leaveFlashing,
} from '../../app/screens/actions/flash-board.ts';
import { portInUse } from '../../app/screens/actions/page-update.ts';
import { watchPorts } from '../../app/screens/actions/staying-connected.ts';
import { view } from '../../app/screens/view.ts';
import { FakePort, hello } from '../link/fake-port.ts';

/** Every port that the page has made, oldest first. */
const ports: FakePort[] = [];
let introduces: boolean;
vi.mock('../../app/link/native-serial-port.ts', () => ({
  commonBoards: [{ usbVendorId: 0x2341 }],
  NativeSerialPort: class {
    constructor() {
      const port = new FakePort();
      const { open } = port;
      port.open = async (baudRate) => {
        await open.call(port, baudRate);
        port.introduces = introduces;
        port.answers = introduces;
        port.restartNumbers();
        if (introduces) setTimeout(() => port.say(hello), 1);
      };
      ports.push(port);
      // biome-ignore lint/correctness/noConstructorReturn: the page holds the port that the test speaks by
      return port;
    }
  },
}));

/** The writing under way, whose end is in the test's hands. */
interface Writing {
  readonly port: BoardPort;
  readonly image: string;
  readonly options: FlashOptions;
  done(): void;
  fail(error: Error): void;
}
let writing: Writing | null;
vi.mock('../../app/link/flashing/put-firmware-on.ts', () => ({
  putFirmwareOn: (port: BoardPort, image: string, options: FlashOptions) =>
    new Promise((resolve, fail) => {
      const done = () => resolve({ chip: 'ATmega328P', baudRate: 115_200, bytes: 9984 });
      writing = { port, image, options, done, fail };
    }),
}));

let granted: object[];
const device = { getInfo: () => ({ usbVendorId: 0x2341, usbProductId: 0x43 }) };
let onConnect: (event: { target: unknown }) => void;
let kept: Map<string, string>;
let takenElsewhere: boolean;
let locks: number;

beforeEach(() => {
  ports.length = 0;
  introduces = true;
  granted = [device];
  writing = null;
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
  vi.stubGlobal('addEventListener', () => {});
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
  view.setState({ notices: [], eye: { phase: 'not armed', code: null }, checking: null });
});
afterEach(async () => {
  writing?.fail(new FlashError('given up', 'The test is over.'));
  await vi.advanceTimersByTimeAsync(10_000);
  leaveFlashing();
  await disconnect();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const pass = (ms = 10) => vi.advanceTimersByTimeAsync(ms);
const flashing = () => view.getState().flashing;
const phase = () => view.getState().session.phase;

async function connect(): Promise<void> {
  void connectBoard();
  await pass();
  expect(phase()).toBe('live');
}

async function begin(): Promise<Writing> {
  void flashBoard();
  await vi.waitFor(() => expect(writing).not.toBeNull());
  return writing!;
}

describe('the firmware is put on', () => {
  it('a board that is connected: its session is closed first, and it is live again afterwards', async () => {
    await connect();
    const { port, image, options, done } = await begin();
    expect(port).toBe(ports[0]);
    expect(ports[0]!.closed).toBe(1);
    expect(phase()).toBe('idle');
    expect(locks).toBe(1);
    expect(image).toMatch(/^:10/);
    const at = (progress: FlashProgress) => {
      options.onProgress!(progress);
      return flashing();
    };
    expect(at({ step: 'looking for the boot loader', done: 0, total: 0 })).toMatchObject({ part: null });
    expect(at({ step: 'writing', done: 512, total: 2048 })).toEqual({
      phase: 'working',
      step: 'writing',
      part: 0.25,
    });
    done();
    await pass();
    expect(flashing()).toMatchObject({ phase: 'done', report: { chip: 'ATmega328P' } });
    expect(phase()).toBe('live');
    expect(locks).toBe(1);
  });

  it('a board that was refused by its silence: on the same port, without a chooser', async () => {
    introduces = false;
    void connectBoard();
    await pass(10_000);
    expect(view.getState().session).toMatchObject({ phase: 'refused', reason: 'nothing heard' });
    expect(view.getState().notices).toHaveLength(1);
    const { port, done } = await begin();
    expect(port).toBe(ports[0]);
    // What was said of its silence holds no longer.
    expect(view.getState().notices).toEqual([]);
    introduces = true;
    done();
    await pass();
    expect(flashing().phase).toBe('done');
  });

  it('a board that the page does not know yet', async () => {
    const { port } = await begin();
    expect(port).toBe(ports[0]);
    expect(ports).toHaveLength(1);
  });

  it('and the failure of the fast rate with the firmware before is forgotten', async () => {
    kept.set('leafclock.fast-rate-failed', JSON.stringify({ '2341:0043': { why: 'It failed.', image: 1 } }));
    const { done } = await begin();
    done();
    await pass();
    expect(kept.get('leafclock.fast-rate-failed')).toBe('{}');
  });
});

describe('meanwhile', () => {
  it('nothing else has the board, and the page is not to be left', async () => {
    watchPorts();
    await connect();
    await begin();
    expect(isFlashing()).toBe(true);
    expect(portInUse(view.getState())).toBe(true);
    void connectBoard();
    void connectPractice();
    void disconnect();
    void flashBoard();
    // Plugged in again, as far as the page knows: it is not taken up.
    onConnect({ target: device });
    await pass(5000);
    expect(ports.filter(({ heard }) => heard.length > 0)).toHaveLength(1);
    expect(phase()).toBe('idle');
    expect(locks).toBe(1);
    expect(flashing().phase).toBe('working');
  });

  it('the user may give up', async () => {
    const { options, fail } = await begin();
    expect(options.signal!.aborted).toBe(false);
    giveUpFlashing();
    expect(options.signal!.aborted).toBe(true);
    fail(new FlashError('given up', 'Stopped.'));
    await pass();
    expect(flashing()).toEqual({ phase: 'failed', because: 'given up', sentence: 'Stopped.' });
    expect(isFlashing()).toBe(false);
  });
});

describe('a failure', () => {
  it('is told, gives the port back, and the next try finds the board that was plugged in anew', async () => {
    await connect();
    const { fail } = await begin();
    fail(new FlashError('gone', 'The board went away.'));
    await pass();
    expect(flashing()).toEqual({ phase: 'failed', because: 'gone', sentence: 'The board went away.' });
    expect(locks).toBe(0);
    writing = null;
    granted = [];
    await flashBoard();
    expect(view.getState().notices.at(-1)?.text).toContain('plug it in');
    expect(flashing().phase).toBe('failed');
    granted = [device];
    const { port, done } = await begin();
    expect(port).toBe(ports[1]);
    done();
    await pass();
    expect(flashing().phase).toBe('done');
    expect(phase()).toBe('live');
  });

  it('after the writing: the board does not introduce itself', async () => {
    const { done } = await begin();
    introduces = false;
    done();
    await pass(10_000);
    expect(flashing()).toMatchObject({ phase: 'failed', because: 'no introduction' });
    expect(locks).toBe(0);
  });

  it('another tab has a board: nothing is touched', async () => {
    takenElsewhere = true;
    await flashBoard();
    expect(flashing()).toMatchObject({ phase: 'failed', because: 'in another tab' });
    expect(writing).toBeNull();
  });

  it('goes from the screen when a board is connected another way', async () => {
    const { fail } = await begin();
    fail(new FlashError('no boot loader', 'Nobody answered.'));
    await pass();
    await connect();
    expect(flashing().phase).toBe('idle');
  });
});

it('does not begin while the shutter is open or a check runs', async () => {
  await connect();
  view.setState({ eye: { phase: 'open', code: 200 } });
  await flashBoard();
  view.setState({ eye: { phase: 'armed', code: 4 }, checking: { kind: 'reference light', part: 0 } });
  await flashBoard();
  expect(flashing().phase).toBe('idle');
  expect(phase()).toBe('live');
  view.setState({ checking: null });
});
