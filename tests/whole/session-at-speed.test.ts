/**
 * A session and the present firmware in the emulated board, over a line whose two ends have speeds of their own: what
 * a page does at either speed, without a clock on the wall.
 */
import fs from 'node:fs';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { BoardPort, PortRead } from '../../app/link/port.ts';
import { ReadQueue } from '../../app/link/read-queue.ts';
import { Session } from '../../app/link/session.ts';
import type { SessionState } from '../../app/link/session-state.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';

const image = fs.readFileSync(
  path.join(import.meta.dirname, '../../firmware-protocol/atmega328p/tester.hex'),
  'utf8',
);
const STEP_MS = 20;
/** From opening to the firmware's start. */
const BOOT_MS = 500;

/** A board that is reset by opening its port, as most are. */
class EmulatedPort implements BoardPort {
  readonly kind = 'serial';
  readonly core = new PracticeCore({ image, seed: 3 });
  readonly #queue = new ReadQueue();
  #baudRate = 0;
  #runsFrom = Number.POSITIVE_INFINITY;

  async open(baudRate = 500_000): Promise<void> {
    this.#queue.clear();
    this.#baudRate = baudRate;
    this.reset();
  }

  reset(): void {
    this.core.resetBoard();
    this.core.takeBytes();
    this.#runsFrom = performance.now() + BOOT_MS;
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (performance.now() >= this.#runsFrom) this.core.write(bytes, this.#baudRate);
  }

  async close(): Promise<void> {
    this.#runsFrom = Number.POSITIVE_INFINITY;
    this.#queue.put({ kind: 'ended', cause: 'closed' });
  }

  /** Lets the board live for a moment. */
  go(ms: number): void {
    if (performance.now() < this.#runsFrom) return;
    this.core.run(this.core.cycle + (ms / 1000) * CLOCK_HZ);
    const bytes = this.core.takeBytes(this.#baudRate);
    if (bytes.length > 0) this.#queue.put({ kind: 'bytes', bytes, at: performance.now() });
  }
}

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

async function goOn(port: EmulatedPort, ms: number, until: () => boolean = () => false): Promise<void> {
  for (let at = 0; at < ms && !until(); at += STEP_MS) {
    await vi.advanceTimersByTimeAsync(STEP_MS);
    port.go(STEP_MS);
  }
}

async function open(rate: LineRate, port = new EmulatedPort()) {
  const states: SessionState[] = [];
  const events: StreamEvent[] = [];
  const session = new Session(
    port,
    { state: (state) => states.push(state), event: (event) => events.push(event) },
    { rate },
  );
  const begun = performance.now();
  void session.open();
  const isDone = () => session.state.phase === 'live' || session.state.phase === 'refused';
  await goOn(port, 10_000, isDone);
  const phases = () =>
    states.map(({ phase }) => phase).filter((phase, k, all) => k === 0 || phase !== all[k - 1]);
  return { port, session, events, phases, seconds: (performance.now() - begun) / 1000 };
}

const ticksPerConversion = ({ state }: Session) =>
  state.phase === 'live' ? state.hello.ticksPerConversion : null;

describe('a session with the firmware of the project', () => {
  it('is live at the fast rate: the board changes over when it is asked, and nothing of that is damage', async () => {
    const { port, session, phases, events } = await open('fast');
    expect(phases()).toEqual(['opening', 'greeting', 'live']);
    expect(ticksPerConversion(session)).toBe(26);
    await goOn(port, 1000);
    expect(session.counts).toMatchObject({ damaged: 0, faults: 0, lost: 0 });
    const samples = events.reduce((sum, event) => sum + (event.kind === 'run' ? event.values.length : 0), 0);
    // 76,923 in a second, less what is still on its way.
    expect(samples).toBeGreaterThan(75_000);
    expect(samples).toBeLessThanOrEqual(77_000);
  });

  it('is live again at the fast rate after a reset in the middle, with a gap and no damage', async () => {
    const { port, session, phases, events } = await open('fast');
    await goOn(port, 200);
    port.reset();
    events.length = 0;
    await goOn(port, 8000, () => phases().length > 4);
    expect(phases()).toEqual(['opening', 'greeting', 'live', 'greeting', 'live']);
    expect(ticksPerConversion(session)).toBe(26);
    expect(session.counts.damaged).toBe(0);
    expect(events).toContainEqual({ kind: 'gap', cause: 'restarted' });
    const before = events.length;
    await goOn(port, 500);
    expect(events.slice(before).every(({ kind }) => kind === 'run')).toBe(true);
  });

  it('is live at the normal rate as ever, also on a port that was fast before', async () => {
    const first = await open('fast');
    await first.session.close();
    const { session, phases } = await open('normal', first.port);
    expect(phases()).toEqual(['opening', 'greeting', 'live']);
    expect(ticksPerConversion(session)).toBe(52);
    expect(session.counts).toMatchObject({ damaged: 0, faults: 0, lost: 0 });
  });

  it('hears nothing but a slower sender where a board stays at half the speed', async () => {
    const port = new EmulatedPort();
    port.write = async () => {}; // so that it is never asked
    const { session } = await open('fast', port);
    expect(session.state).toMatchObject({ phase: 'refused', reason: 'wrong speed' });
  });
});
