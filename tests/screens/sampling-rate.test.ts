/** Which rate a board is connected at: tried, fallen back from, given up, remembered, asked for again. */
import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import { connectBoard, disconnect, setSamplingRate } from '../../app/screens/actions/connection.ts';
import { view } from '../../app/screens/view.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import { FakePort, hello, status } from '../link/fake-port.ts';

const BLOCK = new Uint8Array(128);
const FAST = 1_000_000;
const NORMAL = 500_000;

/** A board that streams by itself once it is started, at the rate of the line's speed. */
class FakeBoard extends FakePort {
  board: Hello = { ...hello, firmware: '1.1' };
  /** Speeds at which it is mute. */
  mute: number[] = [];
  /** It loses a block in every so many at the fast rate; 0: none. */
  losesEvery = 0;
  #next = 0;

  override async open(baudRate = NORMAL): Promise<void> {
    await super.open(baudRate);
    const isFast = baudRate === FAST;
    this.introduction = {
      ...this.board,
      ticksPerConversion: isFast && this.board.firmware !== '1.0' ? 26 : this.board.ticksPerConversion,
    };
    this.introduces = !this.mute.includes(baudRate);
    this.answers = this.introduces;
    this.#next = 0;
    this.restartNumbers();
    if (this.introduces) setTimeout(() => this.say(this.introduction), 1);
  }

  stream(count: number): void {
    for (let k = 0; k < count; k++, this.#next++) {
      const isLost = this.speeds.at(-1) === FAST && this.losesEvery > 0 && this.#next % this.losesEvery === 9;
      if (!isLost) this.block(this.#next * 128, BLOCK);
    }
  }
}

let board: FakeBoard;
vi.mock('../../app/link/native-serial-port.ts', () => ({
  commonBoards: [{ usbVendorId: 0x2341 }],
  NativeSerialPort: class {
    constructor() {
      // biome-ignore lint/correctness/noConstructorReturn: the page holds the port that the test speaks by
      return board;
    }
  },
}));

const granted = { getInfo: () => ({ usbVendorId: 0x2341, usbProductId: 0x43 }) };
let kept: Map<string, string>;

beforeEach(() => {
  board = new FakeBoard();
  kept = new Map();
  vi.useFakeTimers();
  vi.stubGlobal('navigator', { serial: { getPorts: async () => [granted] } });
  vi.stubGlobal('window', { isSecureContext: true, navigator: globalThis.navigator, document: {} });
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => kept.set(key, value),
  });
  view.setState({
    job: newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }),
    notices: [],
    rateSetting: 'automatic',
  });
});
afterEach(async () => {
  await disconnect();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** Connects, and goes on until the board is live or refused. */
async function connect(): Promise<void> {
  void connectBoard();
  await settle();
}

async function settle(): Promise<void> {
  for (let k = 0; k < 100; k++) {
    await vi.advanceTimersByTimeAsync(100);
    const { phase } = view.getState().session;
    if (phase === 'live' || phase === 'refused') return;
    if (board.heard.at(-1)?.type === 'start') board.stream(80);
  }
}

const rate = () => view.getState().rate;
const phase = () => view.getState().session.phase;
const notices = () => view.getState().notices.map(({ text }) => text);

/** A second of stream. */
async function second(): Promise<void> {
  board.stream(10);
  board.say(status);
  await vi.advanceTimersByTimeAsync(1100);
}

describe('the fast rate', () => {
  it('is taken up where the line proves clean, and shown', async () => {
    await connect();
    expect(phase()).toBe('live');
    expect(board.speeds).toEqual([FAST]);
    expect(rate()).toEqual({ inUse: 'fast', whyNotFast: null });
  });

  it('gives way to the normal one where the trial fails, with the reason, and is not tried again', async () => {
    board.losesEvery = 50;
    await connect();
    expect(phase()).toBe('live');
    expect(board.speeds).toEqual([FAST, NORMAL]);
    expect(rate()?.inUse).toBe('normal');
    expect(rate()?.whyNotFast).toContain('damaged or lost');
    expect(view.getState().counts.damaged).toBe(0);
    await disconnect();
    board.speeds.length = 0;
    await connect();
    expect(board.speeds).toEqual([NORMAL]);
    expect(rate()?.whyNotFast).toContain('damaged or lost');
  });

  it('gives way where nobody answers at it', async () => {
    board.mute = [FAST];
    await connect();
    expect(phase()).toBe('live');
    expect(board.speeds).toEqual([FAST, NORMAL]);
    expect(rate()?.whyNotFast).toContain('did not answer');
  });

  it('is tried again with other firmware, and told to be missing in the old one', async () => {
    board.board = { ...hello, firmware: '1.0' };
    await connect();
    expect(rate()?.whyNotFast).toContain('put the present one on it');
    board.board = { ...hello, firmware: '1.1', image: 7 };
    await connect();
    expect(rate()?.inUse).toBe('normal');
    await connect();
    expect(rate()?.inUse).toBe('fast');
  });

  it('is not remembered to have failed when the normal one failed too', async () => {
    board.mute = [FAST, NORMAL];
    await connect();
    expect(view.getState().session).toMatchObject({ phase: 'refused', reason: 'nothing heard' });
    expect(board.speeds).toEqual([FAST, NORMAL]);
    board.mute = [];
    board.speeds.length = 0;
    await connect();
    expect(board.speeds).toEqual([FAST]);
    expect(rate()?.inUse).toBe('fast');
  });

  it('is never used with a board that times edges, which has no rate', async () => {
    board.board = { ...hello, kind: 'edges', firmware: '1.0', ticksPerConversion: 0, bits: 0 };
    await connect();
    expect(phase()).toBe('live');
    expect(board.speeds.at(-1)).toBe(NORMAL);
    expect(rate()).toBeNull();
  });

  it('is given up when blocks are lost three times within a minute: said, shown and remembered', async () => {
    await connect();
    board.losesEvery = 20;
    for (let k = 0; k < 4; k++) await second();
    expect(rate()?.inUse).toBe('fast');
    const lost = view.getState().counts;
    for (let k = 0; k < 4 && board.speeds.length < 2; k++) await second();
    await settle();
    expect(phase()).toBe('live');
    expect(board.speeds).toEqual([FAST, NORMAL]);
    expect(notices().join()).toMatch(/3 times within a minute.*normal rate/);
    expect(rate()).toMatchObject({ inUse: 'normal', whyNotFast: expect.stringContaining('within a minute') });
    // What the line has cost is not forgotten with the old session.
    await vi.advanceTimersByTimeAsync(600);
    expect(view.getState().counts.lost).toBeGreaterThanOrEqual(lost.lost);
    await disconnect();
    await connect();
    expect(board.speeds).toEqual([FAST, NORMAL, NORMAL]);
  });

  it('is not given up while the shutter is open, but right after', async () => {
    await connect();
    board.losesEvery = 20;
    // What the finder says of the light changes the view too: here the shutter stands open throughout.
    const open = view.subscribe(({ eye }) => {
      if (eye.phase !== 'open') view.setState({ eye: { phase: 'open', code: 200 } });
    });
    for (let k = 0; k < 12; k++) await second();
    expect(view.getState().counts.lost).toBeGreaterThanOrEqual(3);
    expect(board.speeds).toEqual([FAST]);
    open();
    for (let k = 0; k < 3; k++) {
      view.setState({ eye: { phase: 'armed', code: 5 } });
      await second();
    }
    await settle();
    expect(board.speeds).toEqual([FAST, NORMAL]);
  });

  it('is asked for again by the user, at once where a board is connected', async () => {
    board.losesEvery = 50;
    await connect();
    expect(rate()?.inUse).toBe('normal');
    board.losesEvery = 0;
    void setSamplingRate('automatic');
    await settle();
    await settle();
    expect(rate()).toEqual({ inUse: 'fast', whyNotFast: null });
    expect(board.speeds).toEqual([FAST, NORMAL, FAST]);
  });

  it('is not used when the setting asks for the normal one, kept for the next visit', async () => {
    await setSamplingRate('normal');
    expect(kept.get('leafclock.sampling-rate')).toBe('normal');
    await connect();
    expect(board.speeds).toEqual([NORMAL]);
    expect(rate()).toMatchObject({ inUse: 'normal', whyNotFast: expect.stringContaining('setting') });
  });

  it('lives without a browser that keeps anything, or with nonsense kept', async () => {
    for (const nonsense of ['', '{', '[]', 'null', '{"2341:0043":5}', '{"2341:0043":{"why":3}}']) {
      kept.set('leafclock.fast-rate-failed', nonsense);
      board.speeds.length = 0;
      await connect();
      expect(board.speeds).toEqual([FAST]);
    }
    vi.stubGlobal('localStorage', {
      getItem: () => {
        throw new Error('denied');
      },
      setItem: () => {
        throw new Error('denied');
      },
    });
    board.losesEvery = 50;
    await connect();
    expect(phase()).toBe('live');
  });

  it('goes no further once the user has left', async () => {
    board.mute = [FAST];
    void connectBoard();
    await vi.advanceTimersByTimeAsync(2000);
    await disconnect();
    await vi.advanceTimersByTimeAsync(10_000);
    expect(board.speeds).toEqual([FAST]);
    expect(view.getState()).toMatchObject({ session: { phase: 'idle' }, rate: null });
  });
});
