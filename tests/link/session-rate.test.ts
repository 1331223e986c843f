/** A session at the fast rate: the trial, and what a reset at another speed looks like. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Session } from '../../app/link/session.ts';
import type { SessionState } from '../../app/link/session-state.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import { FakePort, hello, status } from './fake-port.ts';

const fast = { ...hello, ticksPerConversion: 26 };
const BLOCK = new Uint8Array(128);
/** Blocks that fill half a second at 13 µs a sample. */
const HALF_A_SECOND = Math.ceil(0.5 / (128 * 13e-6));

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

function start(introduction = fast) {
  const port = new FakePort();
  port.introduction = introduction;
  const states: SessionState[] = [];
  const events: StreamEvent[] = [];
  const session = new Session(
    port,
    { state: (s) => states.push(s), event: (e) => events.push(e) },
    { rate: 'fast' },
  );
  void session.open();
  return { port, session, states, events };
}

/** As far as the trial. */
async function introduced(introduction = fast) {
  const started = start(introduction);
  await vi.advanceTimersByTimeAsync(1);
  started.port.say(introduction);
  await vi.advanceTimersByTimeAsync(1);
  return started;
}

async function blocks(port: FakePort, from: number, count: number) {
  for (let k = 0; k < count; k++) port.block((from + k) * 128, BLOCK);
  await vi.advanceTimersByTimeAsync(1);
}

async function live() {
  const begun = await introduced();
  await blocks(begun.port, 0, HALF_A_SECOND);
  expect(begun.session.state.phase).toBe('live');
  return begun;
}

describe('at the fast rate', () => {
  it('the port is opened at a million baud', () => {
    expect(start().port.speeds).toEqual([1_000_000]);
  });

  it('is live after half a second of clean stream, and hands on nothing of the trial', async () => {
    const { port, session, events, states } = await introduced();
    expect(session.state.phase).toBe('greeting');
    await blocks(port, 0, HALF_A_SECOND - 1);
    expect(session.state.phase).toBe('greeting');
    await blocks(port, HALF_A_SECOND - 1, 1);
    expect(session.state.phase).toBe('live');
    expect(events.filter(({ kind }) => kind === 'run')).toEqual([]);
    await blocks(port, HALF_A_SECOND, 1);
    expect(events.at(-1)).toMatchObject({ kind: 'run', ticksPerSample: 26 });
    expect(states.map(({ phase }) => phase)).toEqual(['opening', 'greeting', 'live']);
  });

  it.each([
    ['a block is missing', (port: FakePort) => port.block(30 * 128, BLOCK)],
    ['a frame is damaged', (port: FakePort) => port.bytes(Uint8Array.of(3, 7, 7, 0))],
    ['the port reports a fault', (port: FakePort) => port.put({ kind: 'fault', name: 'FramingError' })],
  ])('fails the trial when %s, and gives the port back', async (_, spoil) => {
    const { port, session } = await introduced();
    await blocks(port, 0, 20);
    spoil(port);
    await blocks(port, 31, 200);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'fast rate failed' });
    expect(port.closed).toBe(1);
  });

  it('fails the trial when no stream comes', async () => {
    const { session } = await introduced();
    await vi.advanceTimersByTimeAsync(3100);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'fast rate failed' });
  });

  it('is nothing for a board with the normal rate alone, nor for one that times edges', async () => {
    for (const other of [hello, { ...hello, kind: 'edges', ticksPerConversion: 0, bits: 0 } as const]) {
      const { session, port } = await introduced(other);
      expect(session.state).toMatchObject({ phase: 'refused', reason: 'fast rate failed' });
      expect(port.heard).toEqual([]);
    }
  });

  it('gives up after three seconds', async () => {
    const { port, session } = start();
    port.introduces = false;
    port.answers = false;
    await vi.advanceTimersByTimeAsync(2900);
    expect(session.state.phase).toBe('greeting');
    await vi.advanceTimersByTimeAsync(400);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'nothing heard' });
  });

  it('counts no damage before the introduction: the board speaks at the other speed until it is asked', async () => {
    const { port, session } = start();
    await vi.advanceTimersByTimeAsync(1);
    for (let k = 0; k < 20; k++) port.bytes(Uint8Array.of(0x80, 0x86, 0, 0xf8, 0x66, 0, 0));
    await vi.advanceTimersByTimeAsync(1100);
    await blocks(port, 0, HALF_A_SECOND);
    expect(session.state.phase).toBe('live');
    expect(session.counts).toMatchObject({ damaged: 0, lost: 0 });
  });

  it('takes unreadable bytes in the middle for a reset, greets anew, and does not call them damage', async () => {
    const { port, session, states, events } = await live();
    port.bytes(Uint8Array.of(3, 1, 2, 0));
    await blocks(port, HALF_A_SECOND + 1, 1);
    expect(session.counts.damaged).toBe(1);
    states.length = 0;
    for (let k = 0; k < 20 && session.state.phase === 'live'; k++) {
      port.bytes(Uint8Array.of(0x80, 0x86, 0, 0xf8, 0x66, 0, 0));
      await vi.advanceTimersByTimeAsync(250);
    }
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
    expect(states.map(({ phase }) => phase)).toEqual(['greeting', 'live']);
    expect(session.counts.damaged).toBe(1);
    expect(events).toContainEqual({ kind: 'gap', cause: 'restarted' });
  });

  it('makes no second trial after a reset', async () => {
    const { port, session } = await live();
    port.restartNumbers();
    port.say(fast);
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state.phase).toBe('live');
  });

  it('goes on counting where a session before on the same line ended', async () => {
    const port = new FakePort();
    const counts = { damaged: 3, faults: 1, gaps: 9, lost: 4 };
    const session = new Session(port, { state: () => {}, event: () => {} }, { counts });
    expect(session.counts).toEqual(counts);
    void session.open();
    await vi.advanceTimersByTimeAsync(1);
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    port.say({ ...status, streaming: true });
    port.bytes(Uint8Array.of(3, 1, 2, 0));
    await vi.advanceTimersByTimeAsync(1);
    expect(session.counts.damaged).toBe(4);
  });
});
