import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { PortError } from '../../app/link/port.ts';
import { Session } from '../../app/link/session.ts';
import type { SessionState } from '../../app/link/session-state.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { FakePort, hello, status } from './fake-port.ts';

function start(port = new FakePort()) {
  const states: SessionState[] = [];
  const events: StreamEvent[] = [];
  const session = new Session(port, { state: (s) => states.push(s), event: (e) => events.push(e) });
  void session.open();
  return { port, session, states, events, phases: () => states.map((s) => s.phase) };
}

async function live(port = new FakePort()) {
  const started = start(port);
  await vi.advanceTimersByTimeAsync(1);
  port.say(hello);
  await vi.advanceTimersByTimeAsync(1);
  expect(started.session.state.phase).toBe('live');
  return started;
}

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

describe('a session', () => {
  it('goes live after the introduction and starts the stream by commands that are each answered', async () => {
    const { port, phases } = await live();
    expect(phases()).toEqual(['opening', 'greeting', 'live']);
    expect(port.heard.map((c) => c.type)).toEqual(['stop', 'channels', 'start']);
  });

  it('writes nothing during the first second, then asks until it is answered', async () => {
    const port = new FakePort();
    port.introduces = false;
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(999);
    expect(port.heard).toEqual([]);
    await vi.advanceTimersByTimeAsync(600);
    expect(port.heard.map((c) => c.type)).toEqual(['hello', 'hello', 'hello']);
    port.introduces = true;
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
  });

  it('asks at once when a good frame shows that no bootloader is listening', async () => {
    const { port, session } = start();
    await vi.advanceTimersByTimeAsync(1);
    port.say(status);
    await vi.advanceTimersByTimeAsync(260);
    expect(session.state.phase).toBe('live');
  });

  it('gives up after four seconds with a sentence', async () => {
    const port = new FakePort();
    port.introduces = false;
    port.answers = false;
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(4300);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'nothing heard' });
    expect(port.closed).toBe(1);
  });

  it('refuses another protocol by its number', async () => {
    const { port, session } = start();
    await vi.advanceTimersByTimeAsync(1);
    port.say({ ...hello, protocol: 7 });
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'wrong protocol' });
    expect('sentence' in session.state && session.state.sentence).toContain('version 7');
  });

  it('says why a port could not be opened', async () => {
    const port = new FakePort();
    port.openFails = new PortError('busy', 'Another program uses it.');
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'refused', sentence: 'Another program uses it.' });
  });

  it('hands on samples as runs and marks damage as a gap, counted', async () => {
    const { port, session, events } = await live();
    events.length = 0;
    port.block(0, [1, 2, 3]);
    const bad = encodeMessage({ ...status, sequence: 99 });
    bad[4] = bad[4]! ^ 0x10;
    port.bytes(bad);
    await vi.advanceTimersByTimeAsync(1);
    port.block(3, [4, 5, 6]);
    await vi.advanceTimersByTimeAsync(1);
    expect(events.map((e) => e.kind)).toEqual(['run', 'gap', 'run']);
    expect(session.counts.damaged).toBe(1);
  });

  it('repeats, as the stream begins, what the board said of contact and release before it', async () => {
    const { port, events } = start();
    await vi.advanceTimersByTimeAsync(1);
    const edge = (tick: number, closed: boolean) =>
      ({ type: 'edge', sequence: 0, input: 'contact', closed, tick: ticks(tick), lost: 0 }) as const;
    port.say(edge(1000, false));
    port.say(edge(2000, true));
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    expect(events.at(-1)).toEqual({ kind: 'contact', tick: 2000, closed: true, lost: 0 });
    expect(events.filter(({ kind }) => kind === 'contact')).toHaveLength(1);
    port.restartNumbers();
    port.say(hello);
    await vi.advanceTimersByTimeAsync(300);
    // A board that was reset counts the contact as open and tells anew if it isn't.
    expect(events.at(-1)!.kind).toBe('gap');
  });

  it('turns a fault of the port into a gap and goes on', async () => {
    const { port, session, events } = await live();
    events.length = 0;
    port.put({ kind: 'fault', name: 'BufferOverrunError' });
    port.block(0, [1]);
    await vi.advanceTimersByTimeAsync(1);
    expect(events).toMatchObject([{ kind: 'gap', cause: 'read error' }, { kind: 'run' }]);
    expect(session.counts.faults).toBe(1);
  });

  it('ends when the board is pulled, with a gap first and every waiter settled', async () => {
    const { port, session, events } = await live();
    port.answers = false;
    const command = session.command({ type: 'stop' });
    const failed = expect(command).rejects.toThrow('no longer there');
    port.put({ kind: 'ended', cause: 'disconnected' });
    await vi.advanceTimersByTimeAsync(1);
    await failed;
    expect(events.at(-1)).toEqual({ kind: 'gap', cause: 'disconnected' });
    expect(session.state).toMatchObject({ phase: 'lost', reason: 'disconnected' });
    await expect(session.command({ type: 'start' })).rejects.toThrow('no longer there');
  });

  it('notices silence, and greets a board that is heard again', async () => {
    const { port, session, events } = await live();
    await vi.advanceTimersByTimeAsync(2500);
    expect(session.state).toMatchObject({ phase: 'lost', reason: 'silent' });
    expect(events.at(-1)).toEqual({ kind: 'gap', cause: 'silence' });
    port.say(status);
    await vi.advanceTimersByTimeAsync(600);
    expect(session.state.phase).toBe('live');
  });

  it('takes an introduction nobody asked for as a restart, with a gap', async () => {
    const { port, session, events, phases } = await live();
    events.length = 0;
    port.restartNumbers();
    port.say(hello);
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
    expect(phases()).toEqual(['opening', 'greeting', 'live', 'greeting', 'live']);
    expect(events[0]).toEqual({ kind: 'gap', cause: 'restarted' });
  });

  it('takes a board that says it does not stream as a restart', async () => {
    const { port, session, phases } = await live();
    port.say({ ...status, streaming: false });
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
    expect(phases().filter((p) => p === 'greeting')).toHaveLength(2);
  });

  it('is refused when the board refuses to start', async () => {
    const port = new FakePort();
    port.refuses = 1;
    const { session } = start(port);
    await vi.advanceTimersByTimeAsync(1);
    port.say(hello);
    await vi.advanceTimersByTimeAsync(1);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'start refused' });
  });
});

describe("the clock check of a session's board", () => {
  const PPM = 4321;
  const SAMPLES = 128;
  /** Arrival, in ms, of what a fast board sends at this time by its own clock. */
  const arrivalOf = (seconds: number) => 5000 + (1000 * seconds) / (1 + PPM * 1e-6);

  /** Sends sample blocks; each arrives when its last sample has been taken. */
  async function stream(port: FakePort, seconds: number) {
    const values = new Array<number>(SAMPLES).fill(9);
    for (let index = 0; index < seconds * (2_000_000 / 52); index += SAMPLES)
      port.block(index, values, index * 52, arrivalOf(((index + SAMPLES - 1) * 52) / 2_000_000));
    await vi.advanceTimersByTimeAsync(1);
  }

  it('is not there before the board has introduced itself', async () => {
    const { session } = start();
    expect(session.clock).toBeNull();
  });

  it('is fed with the last tick of each block and the arrival of its bytes', async () => {
    const { port, session } = await live();
    await stream(port, 25);
    expect(session.clock!.estimate()!.ppm).toBeCloseTo(PPM, 4);
    expect(session.clock!.points().seconds.length).toBeGreaterThan(10);
  });

  it('takes the ticks of the status where a board sends no samples', async () => {
    const port = new FakePort();
    port.introduction = { ...hello, kind: 'edges', tickHz: 250_000, ticksPerConversion: 0, bits: 0 };
    const started = start(port);
    await vi.advanceTimersByTimeAsync(1);
    port.say(port.introduction);
    await vi.advanceTimersByTimeAsync(1);
    for (let at = 1; at < 60; at += 0.25) port.say({ ...status, tick: ticks(at * 250_000) }, arrivalOf(at));
    await vi.advanceTimersByTimeAsync(1);
    expect(started.session.clock!.estimate()!.ppm).toBeCloseTo(PPM, 4);
  });

  it('does not take the status of a board that sends samples: it waits behind them', async () => {
    const { port, session } = await live();
    for (let at = 1; at < 60; at += 0.25) port.say({ ...status, tick: ticks(at * 2_000_000) }, arrivalOf(at));
    await vi.advanceTimersByTimeAsync(1);
    expect(session.clock!.points().seconds).toEqual([]);
  });

  it('goes on over damage, and begins anew with a board that was reset', async () => {
    const { port, session } = await live();
    await stream(port, 25);
    port.bytes(Uint8Array.from([7, 7, 0]));
    await vi.advanceTimersByTimeAsync(1);
    expect(session.clock!.estimate()).not.toBeNull();
    port.restartNumbers();
    port.say(hello);
    await vi.advanceTimersByTimeAsync(300);
    expect(session.state.phase).toBe('live');
    expect(session.clock!.estimate()).toBeNull();
    expect(session.clock!.points().seconds).toEqual([]);
  });

  it('begins anew after silence: ticks may have wrapped unseen', async () => {
    const { port, session } = await live();
    await stream(port, 25);
    await vi.advanceTimersByTimeAsync(2500);
    expect(session.state).toMatchObject({ phase: 'lost', reason: 'silent' });
    expect(session.clock!.estimate()).toBeNull();
  });
});
