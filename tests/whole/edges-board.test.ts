/** A board that times edges instead of sampling, through the same session, finder and measurement. */
import { describe, expect, it, vi } from 'vitest';
import type { BoardPort, PortRead } from '../../app/link/port.ts';
import { ReadQueue } from '../../app/link/read-queue.ts';
import { Session } from '../../app/link/session.ts';
import type { SessionState } from '../../app/link/session-state.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import type { Figures, Firing } from '../../app/measure/figures.ts';
import { FiringFinder } from '../../app/measure/firing-finder.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { remarkSentence } from '../../app/measure/remark-sentences.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { type Message, ReplyResult } from '../../firmware-protocol/messages.ts';
import { seededRandom } from '../seeded-random.ts';
import { EdgesBoard, type EdgesBoardOptions } from './edges-board.ts';

/** The board on a cable: opening the port resets it, as it does to such boards. */
class EdgesPort implements BoardPort {
  readonly kind = 'serial';
  readonly board: EdgesBoard;
  readonly #queue = new ReadQueue();

  constructor(options: EdgesBoardOptions = {}) {
    this.board = new EdgesBoard(options);
  }

  async open(): Promise<void> {
    this.board.takeBytes();
    this.board.reset();
    this.flush();
  }

  read(): Promise<PortRead> {
    return this.#queue.next();
  }

  async write(bytes: Uint8Array): Promise<void> {
    this.board.receive(bytes);
    this.flush();
  }

  async close(): Promise<void> {
    this.#queue.put({ kind: 'ended', cause: 'closed' });
  }

  /** Lets time pass on the board; what it says reaches the page unless `change` makes something else of it. */
  advance(length: number, change = (bytes: Uint8Array) => bytes): void {
    this.board.advance(length);
    this.flush(change);
  }

  flush(change = (bytes: Uint8Array) => bytes): void {
    const bytes = change(this.board.takeBytes());
    if (bytes.length > 0) this.#queue.put({ kind: 'bytes', bytes, at: 0 });
  }
}

/** How to wait for what the session does on its own account. */
const OFTEN = { interval: 1, timeout: 60_000 };

async function connected(options: EdgesBoardOptions = {}) {
  const port = new EdgesPort(options);
  const states: SessionState[] = [];
  const gaps: StreamEvent[] = [];
  const firings: Firing[] = [];
  let finder: FiringFinder | null = null;
  const session = new Session(port, {
    state: (state) => states.push(state),
    event: (event) => {
      if (event.kind === 'gap') gaps.push(event);
      finder ??= new FiringFinder({ tickHz: port.board.tickHz, fullScale: 255 });
      for (const found of finder.push(event))
        if ('firing' in found && found.kind !== 'provisional') firings.push(found.firing);
    },
  });
  await session.open();
  gaps.length = 0; // each start of a stream is one
  /** Runs the board a while and waits until the page has heard its latest status. */
  const later = async (length: number, change?: (bytes: Uint8Array) => Uint8Array) => {
    port.advance(length, change);
    port.advance(port.board.tickHz / 4);
    const { now } = port.board;
    await vi.waitFor(() => {
      const { state } = session;
      if (state.phase !== 'live' || !state.status) throw new Error('nothing heard yet');
      const behind = (now % 2 ** 32) - state.status.tick;
      expect(behind).toBeLessThanOrEqual(port.board.tickHz / 4);
    }, OFTEN);
  };
  return { port, board: port.board, session, states, gaps, firings, later };
}

/** Every figure but the open time is missing, and the remark says why. */
function expectOpenTimeOnly(figures: Figures, total: number): void {
  expect(figures.total).toBeCloseTo(total, 12);
  const { total: _, remarks, ...others } = figures;
  for (const [name, figure] of Object.entries(others)) expect(figure, name).toBeNull();
  expect(remarks).toEqual([{ code: 'open time only' }]);
  expect(remarkSentence(remarks[0]!)).toMatch(/open time.*not the effective time/);
}

const measure = (firing: Firing) => measureFiring(firing, { reference: null });

describe('a board that times edges', () => {
  it('is greeted, started, and live', async () => {
    const { session, board, states } = await connected();
    expect(session.state).toMatchObject({ phase: 'live', hello: { kind: 'edges', ticksPerConversion: 0 } });
    expect(states.map(({ phase }) => phase)).toEqual(['opening', 'greeting', 'live']);
    expect(board).toMatchObject({ streaming: true, mask: 0b11 });
    expect(session.counts).toMatchObject({ damaged: 0, faults: 0 });
    await session.close();
  });

  it('gives open times alone, to the tick, on each of its channels', async () => {
    const { session, board, firings, gaps, later } = await connected({ tickHz: 250_000 });
    const lengths = [500, 1000, 4167, 31_250, 250_000];
    for (const length of lengths) {
      board.expose(0, 1000, length);
      board.expose(1, 1250, length + 25);
      await later(length + 5000);
    }
    const of = (channel: number) => firings.filter((firing) => firing.channel === channel);
    expect(firings).toHaveLength(2 * lengths.length);
    for (const [n, length] of lengths.entries()) {
      expectOpenTimeOnly(measure(of(0)[n]!), length / 250_000);
      expectOpenTimeOnly(measure(of(1)[n]!), (length + 25) / 250_000);
      expect(of(1)[n]!.firstTick - of(0)[n]!.firstTick).toBe(250);
    }
    expect(gaps).toEqual([]);
    await session.close();
  });

  it('keeps the flash contact with the opening it belongs to', async () => {
    const { session, board, firings, later } = await connected();
    board.change('contact', 900, true);
    board.expose(0, 1000, 2000);
    board.change('contact', 2500, false);
    await later(10_000);
    const [firing] = firings;
    expect(firing!.contact.map(({ tick, closed }) => [tick - firing!.firstTick, closed])).toEqual([
      [-100, true],
      [1500, false],
    ]);
    await session.close();
  });

  it('measures across the wrap of its ticks', async () => {
    const { session, board, firings, gaps, later } = await connected({ firstTick: 2 ** 32 - 1500 });
    board.expose(0, 1000, 1000);
    board.expose(0, 5000, 2000);
    await later(10_000);
    expect(firings).toHaveLength(2);
    expectOpenTimeOnly(measure(firings[0]!), 0.004);
    expectOpenTimeOnly(measure(firings[1]!), 0.008);
    expect(firings[1]!.firstTick - firings[0]!.firstTick).toBe(4000);
    expect(gaps).toEqual([]);
    await session.close();
  });
});

describe('loss', () => {
  it('shows when the board had no room for openings, and the next is measured', async () => {
    const { session, board, firings, gaps, later } = await connected();
    const before = session.counts.gaps;
    board.full = true;
    for (let n = 0; n < 3; n++) {
      board.expose(0, 100, 1000);
      await later(2000);
    }
    expect(firings).toEqual([]);
    board.full = false;
    board.expose(0, 100, 1000);
    await later(2000);
    expect(gaps).toEqual([{ kind: 'gap', cause: 'missing' }]);
    expect(session.counts.gaps).toBe(before + 1);
    expect(session.state).toMatchObject({ status: { overruns: 3 } });
    expect(firings).toHaveLength(1);
    expectOpenTimeOnly(measure(firings[0]!), 0.004);
    await session.close();
  });

  it('shows when a message never arrives', async () => {
    const { session, board, firings, gaps, later } = await connected();
    board.expose(0, 100, 1000);
    await later(2000, () => new Uint8Array());
    expect(firings).toEqual([]);
    expect(gaps).toEqual([{ kind: 'gap', cause: 'missing' }]);
    await session.close();
  });

  it('shows when a message is damaged: no false open time, and the session goes on', async () => {
    const { session, board, firings, gaps, later } = await connected();
    const random = seededRandom(11);
    for (let n = 0; n < 200; n++) {
      board.expose(0, 100, 1000);
      await later(2000, (bytes) => {
        const at = Math.floor(random() * (bytes.length - 1));
        return bytes.map((byte, offset) => (offset === at ? byte ^ (1 << Math.floor(random() * 8)) : byte));
      });
    }
    // Now and then a status shared the piece and took the damage; then the opening beside it was whole.
    expect(firings.length).toBeLessThan(20);
    for (const firing of firings) expectOpenTimeOnly(measure(firing), 0.004);
    expect(session.counts.damaged).toBeGreaterThanOrEqual(200);
    expect(gaps.length).toBeGreaterThanOrEqual(200);
    firings.length = 0;
    board.expose(0, 100, 1000);
    await later(2000);
    expect(firings).toHaveLength(1);
    expectOpenTimeOnly(measure(firings[0]!), 0.004);
    await session.close();
  });

  it('shows when the board was reset: it is greeted and started anew', async () => {
    const { session, port, board, firings, gaps, later } = await connected();
    board.expose(0, 100, 1000);
    port.advance(500); // in the middle of an opening
    board.reset();
    port.flush();
    await vi.waitFor(() => {
      expect(gaps.map((gap) => 'cause' in gap && gap.cause)).toContain('restarted');
      expect(session.state.phase).toBe('live');
    }, OFTEN);
    expect(firings).toEqual([]);
    board.expose(0, 100, 2000);
    await later(5000);
    expect(firings).toHaveLength(1);
    expectOpenTimeOnly(measure(firings[0]!), 0.008);
    await session.close();
  });
});

/** The simulator itself: what it does must be what the wire's description asks of a board. */
describe('the simulated board', () => {
  function listening(options?: EdgesBoardOptions) {
    const board = new EdgesBoard(options);
    const reader = new MessageReader();
    const hear = (): Message[] => {
      const messages: Message[] = [];
      reader.push(
        board.takeBytes(),
        (message) => messages.push(message),
        ({ cause }) => {
          throw new Error(`A damaged frame: ${cause}`);
        },
      );
      return messages;
    };
    return { board, hear };
  }

  it('tells of openings that lie between start and stop, and of no others', () => {
    const { board, hear } = listening();
    const openings = () => hear().filter(({ type }) => type === 'shutter');
    board.expose(0, 10, 100);
    board.advance(200);
    expect(openings()).toEqual([]);
    board.expose(0, 10, 100);
    board.advance(50);
    board.receive(encodeCommand({ type: 'start', tag: 1 })); // with light already there
    board.advance(150);
    expect(openings()).toEqual([]);
    board.expose(0, 10, 100);
    board.advance(200);
    expect(openings()).toHaveLength(1);
    board.expose(0, 10, 100);
    board.advance(50);
    board.receive(encodeCommand({ type: 'start', tag: 2 })); // again: changes nothing
    board.advance(150);
    expect(openings()).toHaveLength(1);
    board.expose(0, 10, 100);
    board.advance(50);
    board.receive(encodeCommand({ type: 'stop', tag: 3 }));
    board.advance(150);
    board.expose(0, 10, 100);
    board.advance(200);
    expect(openings()).toEqual([]);
  });

  it('says four times a second how it is', () => {
    const { board, hear } = listening({ tickHz: 1000 });
    hear();
    board.receive(encodeCommand({ type: 'start', tag: 1 }));
    board.advance(3000);
    const statuses = hear().filter((message) => message.type === 'status');
    expect(statuses).toHaveLength(12);
    expect(statuses.every(({ streaming, mask }) => streaming && mask === 1)).toBe(true);
  });

  it('answers every command, and refuses what it can not do', () => {
    const { board, hear } = listening();
    hear();
    const results = (command: Parameters<typeof encodeCommand>[0]) => {
      board.receive(encodeCommand(command));
      return hear().map((message) =>
        message.type === 'reply' ? [message.tag, message.result] : message.type,
      );
    };
    const { done, badValue, busy, unknownCommand } = ReplyResult;
    expect(results({ type: 'hello', tag: 1 })).toEqual(['hello', [1, done]]);
    expect(results({ type: 'channels', tag: 2, mask: 0b100 })).toEqual([[2, badValue]]);
    expect(results({ type: 'channels', tag: 3, mask: 0b10 })).toEqual([[3, done]]);
    expect(results({ type: 'start', tag: 4 })).toEqual([[4, done]]);
    expect(results({ type: 'channels', tag: 5, mask: 0b01 })).toEqual([[5, busy]]);
    expect(results({ type: 'pulses', tag: 6, width: 1000, gap: 1000, count: 1 })).toEqual([
      [6, unknownCommand],
    ]);
    board.expose(0, 10, 100);
    board.expose(1, 10, 100);
    board.advance(200);
    expect(hear()).toMatchObject([{ type: 'shutter', channel: 1 }]);
    board.receive(encodeCommand({ type: 'serial', tag: 7, serial: 'E-7' }));
    board.receive(encodeCommand({ type: 'hello', tag: 8 }));
    expect(hear()).toMatchObject([{ result: done }, { type: 'hello', serial: 'E-7' }, { result: done }]);
  });

  it('takes bytes of any kind and goes on', () => {
    const { board, hear } = listening();
    hear();
    const random = seededRandom(3);
    for (let n = 0; n < 2000; n++) {
      const length = Math.floor(random() * 40);
      board.receive(Uint8Array.from({ length }, () => Math.floor(random() * 256)));
    }
    board.receive(Uint8Array.of(0));
    board.receive(encodeCommand({ type: 'hello', tag: 9 }));
    expect(hear().map(({ type }) => type)).toContain('hello');
    board.advance(board.tickHz);
    const status = hear().findLast((message) => message.type === 'status');
    expect(status!.commandsRefused).toBeGreaterThan(100);
  });
});
