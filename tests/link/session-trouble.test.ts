/** A session on lines and boards that go wrong: the right state, a sentence, and the port given back. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { ResetWords } from '../../app/link/board-resets.ts';
import { Session } from '../../app/link/session.ts';
import { mayLackFirmware, type SessionState } from '../../app/link/session-state.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import { Random } from '../../app/practice/random.ts';
import { FakePort, hello, status } from './fake-port.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

function start(port = new FakePort()) {
  const states: SessionState[] = [];
  const events: StreamEvent[] = [];
  const words: ResetWords[] = [];
  const session = new Session(port, {
    state: (s) => states.push(s),
    event: (e) => events.push(e),
    reset: (w) => words.push(w),
  });
  void session.open();
  /** Each once, however often it was told. */
  const phases = () =>
    states.map(({ phase }) => phase).filter((phase, k, all) => k === 0 || phase !== all[k - 1]);
  return { port, session, states, events, words, phases };
}

async function live() {
  const started = start();
  await vi.advanceTimersByTimeAsync(1);
  started.port.say(hello);
  await vi.advanceTimersByTimeAsync(1);
  expect(started.session.state.phase).toBe('live');
  return started;
}

const deaf = () => {
  const port = new FakePort();
  port.introduces = false;
  port.answers = false;
  return port;
};
const text = (words: string) => new TextEncoder().encode(words);

describe('a port that hangs', () => {
  it('while it opens: is given up after 15 seconds with a sentence', async () => {
    const port = new FakePort();
    port.hangs.open = true;
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(14_000);
    expect(session.state.phase).toBe('opening');
    await vi.advanceTimersByTimeAsync(1500);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'could not open' });
    expect('sentence' in session.state && session.state.sentence).toContain('plug it in again');
  });

  it('and opens after all: is closed then', async () => {
    const port = new FakePort();
    let opened = () => {};
    port.open = () =>
      new Promise<void>((resolve) => {
        opened = resolve;
      });
    start(port);
    await vi.advanceTimersByTimeAsync(15_100);
    const closed = port.closed;
    opened();
    await vi.advanceTimersByTimeAsync(1);
    expect(port.closed).toBeGreaterThan(closed);
  });

  it('when it is told something: the board is refused with a sentence, and the port closed', async () => {
    const port = new FakePort();
    port.hangs.write = true;
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(1);
    port.say(hello);
    await vi.advanceTimersByTimeAsync(3100);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'start refused' });
    expect('sentence' in session.state && session.state.sentence).toContain('takes no commands');
    expect(port.closed).toBe(1);
  });

  it('while it closes: is not waited for', async () => {
    const { port, session } = await live();
    port.hangs.close = true;
    let closed = false;
    void session.close().then(() => {
      closed = true;
    });
    await vi.advanceTimersByTimeAsync(3100);
    expect(closed).toBe(true);
  });

  it('is closed once, and closing during opening ends it', async () => {
    const { port, session } = await live();
    await session.close();
    await session.close();
    expect(port.closed).toBe(1);
    const opening = start();
    await opening.session.close();
    await vi.advanceTimersByTimeAsync(5000);
    expect(opening.session.state).toMatchObject({ phase: 'lost', reason: 'closed' });
  });
});

describe('a port with something else behind it', () => {
  it.each([
    ['nothing heard', () => new Uint8Array()],
    ['sends text', () => text('\r\nRING\r\n')],
    ['wrong speed', () => Uint8Array.of(0x80, 0, 0xf8, 0xe0, 0xf8, 0, 0x80, 0xfe)],
    ['not a tester', () => Uint8Array.from({ length: 40 }, () => random.bits32() & 0xff)],
  ] as const)('%s', async (reason, bytes) => {
    const { port, session } = start(deaf());
    await vi.advanceTimersByTimeAsync(1);
    for (let k = 0; k < 20; k++) {
      if (bytes().length > 0) port.bytes(bytes());
      await vi.advanceTimersByTimeAsync(250);
    }
    expect(session.state).toMatchObject({ phase: 'refused', reason });
    expect(mayLackFirmware(session.state)).toBe(true);
    expect(session.counts).toEqual({ damaged: 0, faults: 0, gaps: 0, lost: 0 });
    expect(port.closed).toBe(1);
  });

  it('that sends good frames but takes none hears nothing of the page', async () => {
    const { port, session } = start(deaf());
    await vi.advanceTimersByTimeAsync(1);
    for (let k = 0; k < 10; k++) {
      port.say(status);
      await vi.advanceTimersByTimeAsync(500);
    }
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'no introduction' });
    expect(mayLackFirmware(session.state)).toBe(false);
  });

  it.each([
    { tickHz: 0 },
    { tickHz: 4_000_000_000 },
    { ticksPerConversion: 0 },
    { bits: 0 },
    { bits: 12 },
    { channels: 0 },
  ])('that introduces itself as what can’t be is no tester: %j', async (field) => {
    const { port, session } = start(deaf());
    await vi.advanceTimersByTimeAsync(1);
    port.say({ ...hello, ...field });
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'not a tester' });
  });
});

const random = new Random(77);

describe('a port that sends without end', () => {
  it('of bytes: is given up after a stated amount, and nothing of the rest is handed on', async () => {
    const { port, session, events } = await live();
    const junk = new Uint8Array(65_536).fill(0x55);
    for (let k = 0; k < 40; k++) port.bytes(junk, performance.now());
    await vi.waitFor(() =>
      expect(session.state).toMatchObject({ phase: 'refused', reason: 'sends too much' }),
    );
    expect(events.length).toBeLessThan(50);
    expect(port.closed).toBe(1);
  });

  it('of introductions: is let go as one that keeps resetting', async () => {
    const { port, session } = await live();
    for (let k = 0; k < 50; k++) {
      port.restartNumbers();
      port.say(hello);
    }
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'keeps resetting' });
    expect('sentence' in session.state && session.state.sentence).toMatch(/cable/);
  });

  it('of bytes no message is among: is greeted anew, and then refused', async () => {
    const { port, session, phases } = await live();
    port.introduces = false;
    for (let k = 0; k < 70; k++) {
      port.bytes(
        Uint8Array.from({ length: 300 }, () => random.bits32() & 0xff),
        performance.now(),
      );
      await vi.advanceTimersByTimeAsync(100);
    }
    expect(phases()).toEqual(['opening', 'greeting', 'live', 'greeting', 'refused']);
    expect(session.state).toMatchObject({ reason: 'not a tester' });
  });
});

describe('a board that is reset', () => {
  it('is told once, and three times within a minute with what to see to', async () => {
    const { port, words } = await live();
    for (let k = 0; k < 3; k++) {
      port.restartNumbers();
      port.say(hello);
      await vi.advanceTimersByTimeAsync(1000);
      port.say(status);
    }
    expect(words.map(({ serious }) => serious)).toEqual([false, false, true]);
  });

  it('while it is being started: the start begins anew with the new introduction', async () => {
    const port = new FakePort();
    port.answers = false;
    const { session, words } = start(port);
    await vi.advanceTimersByTimeAsync(1);
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    port.answers = true;
    port.restartNumbers();
    port.say({ ...hello, resetCause: 4 });
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'live', hello: { resetCause: 4 } });
    expect(words.at(-1)?.sentence).toMatch(/supply/);
    expect(port.heard.map(({ type }) => type)).toEqual(['stop', 'stop', 'channels', 'start']);
  });

  it('is not taken for so by an answer that comes after the board’s own introduction', async () => {
    const port = new FakePort();
    port.introduces = false;
    port.answers = false;
    const { session, words, phases } = start(port);
    await vi.advanceTimersByTimeAsync(1001);
    expect(port.heard.map(({ type }) => type)).toEqual(['hello']);
    port.answers = true;
    // Unasked, then the answer to a question that the board had taken as it started, then one to a question it had not.
    for (let k = 0; k < 3; k++) port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state.phase).toBe('live');
    expect(phases()).toEqual(['opening', 'greeting', 'live']);
    expect(words).toEqual([]);
  });

  it('by the page’s own wish, to learn its new serial number, is not called a reset', async () => {
    const { port, session, words, phases } = await live();
    port.introduction = { ...hello, serial: 'NEW', resetCause: 4 };
    session.introduceAnew();
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state).toMatchObject({ phase: 'live', hello: { serial: 'NEW' } });
    expect(phases()).toEqual(['opening', 'greeting', 'live', 'greeting', 'live']);
    expect(words).toEqual([]);
  });
});

describe('a computer that slept', () => {
  it('costs a gap, a new introduction and a new clock check, and no reading across it', async () => {
    const { port, session, events, phases } = await live();
    const { clock } = session;
    port.block(0, [1, 2, 3]);
    await vi.advanceTimersByTimeAsync(1);
    vi.setSystemTime(Date.now() + 3_600_000);
    events.length = 0;
    port.block(3, [4, 5, 6]);
    await vi.advanceTimersByTimeAsync(300);
    expect(events[0]).toEqual({ kind: 'gap', cause: 'silence' });
    expect(phases()).toEqual(['opening', 'greeting', 'live', 'greeting', 'live']);
    expect(session.clock).not.toBe(clock);
  });

  it('and whose board is gone is silent, not refused: it may come back by itself', async () => {
    const { port, session } = await live();
    port.introduces = false;
    port.answers = false;
    vi.setSystemTime(Date.now() + 3_600_000);
    await vi.advanceTimersByTimeAsync(6000);
    expect(session.state).toMatchObject({ phase: 'lost', reason: 'silent' });
    port.introduces = true;
    port.answers = true;
    port.say(status);
    await vi.advanceTimersByTimeAsync(1300);
    expect(session.state.phase).toBe('live');
  });
});

describe('a page whose timers come late', () => {
  it('does not take a board for silent while its bytes are read', async () => {
    const { port, session, phases } = await live();
    // Once a minute in a hidden tab; reads are not held up.
    for (let minute = 0; minute < 10; minute++) {
      for (let k = 0; k < 60; k++) {
        port.say(status);
        await Promise.resolve();
      }
      await vi.advanceTimersByTimeAsync(499);
    }
    expect(session.state.phase).toBe('live');
    expect(phases()).toEqual(['opening', 'greeting', 'live']);
  });

  it('gives a board as many questions as ever', async () => {
    const port = deaf();
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(1);
    // The first look comes a minute late.
    vi.spyOn(performance, 'now').mockReturnValue(performance.now() + 60_000);
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('greeting');
    expect(port.heard).toHaveLength(1);
    port.introduces = true;
    port.answers = true;
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
    vi.restoreAllMocks();
  });
});
