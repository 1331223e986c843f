import { describe, expect, it } from 'vitest';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { seededRandom } from '../seeded-random.ts';
import { CYCLES_PER_MILLISECOND, CYCLES_PER_TICK, TestBoard } from './test-board.ts';

/** How late (positive) the edge's tick is against the cycle at which it was made, in µs. */
const lateness = (tick: number, cycle: number, tickZero: number) =>
  (tickZero + tick * CYCLES_PER_TICK - cycle) / 16;

describe('flash contact', () => {
  it.each([
    ['normal', false],
    ['normal', true],
    ['fast', true],
  ] as const)(
    'is timed within 0.5 µs, at any phase and across turns of the timer; rate %s, streaming %s',
    (rate, streaming) => {
      const random = seededRandom(31);
      const test = new TestBoard({ rate });
      test.greet();
      const tickZero = test.findTickZero();
      if (streaming) test.ask({ type: 'start' });
      const made: number[] = [];
      let cycle = test.board.cycle;
      for (let edge = 0; edge < 300; edge++) {
        cycle += Math.round((0.2 + 9 * random()) * CYCLES_PER_MILLISECOND + 16 * random());
        made.push(cycle);
        test.board.setContact(edge % 2 === 0, cycle);
      }
      // The overflow itself is the hard case: edges close to where the low word begins anew.
      const turn = 65_536 * CYCLES_PER_TICK;
      const nextTurn = () => tickZero + Math.ceil((cycle + 3000 - tickZero) / turn) * turn;
      for (let edge = 0; edge < 64; edge++) {
        cycle = nextTurn() + 8 * edge - 256;
        made.push(cycle);
        test.board.setContact(edge % 2 === 0, cycle);
      }
      test.run((cycle - test.board.cycle) / CYCLES_PER_MILLISECOND + 20);
      const edges = test.of('edge');
      expect(edges.length).toBe(made.length);
      edges.forEach((edge, index) => {
        expect(edge).toMatchObject({ input: 'contact', closed: index % 2 === 0, lost: 0 });
        expect(Math.abs(lateness(edge.tick, made[index]!, tickZero))).toBeLessThanOrEqual(0.5);
      });
    },
  );

  it.each(['normal', 'fast'] as const)('is timed on the same clock as the samples at the %s rate', (rate) => {
    const test = new TestBoard({ keepConversions: true, rate });
    test.greet();
    test.ask({ type: 'start' });
    const cycle = test.board.cycle + 100_000;
    test.board.setContact(true, cycle);
    test.run(40);
    const block = test.of('samples').at(-1)!;
    const held = test.conversions[1 + block.index]!.holdCycle;
    const ticks = test.of('edge')[0]!.tick - block.tick;
    expect(Math.abs(ticks * CYCLES_PER_TICK - (cycle - held))).toBeLessThan(2 * CYCLES_PER_TICK);
  });

  it.each(['normal', 'fast'] as const)(
    'is followed through bounces at the %s rate, and what was too short to time is counted',
    (rate) => {
      const random = seededRandom(32);
      const test = new TestBoard({ rate });
      test.greet();
      if (rate === 'fast') test.ask({ type: 'start' });
      for (let closing = 0; closing < 40; closing++) {
        let cycle = test.board.cycle + 1000;
        for (let bounce = 0; bounce < 7; bounce++) {
          test.board.setContact(bounce % 2 === 0, cycle);
          cycle += Math.round((1 + 30 * random()) * 16);
        }
        test.run(20);
        expect(test.of('edge').at(-1)!.closed).toBe(true);
        test.board.setContact(false);
        test.run(300);
        expect(test.of('edge').at(-1)!.closed).toBe(false);
      }
      const edges = test.of('edge');
      const lost = edges.reduce((sum, edge) => sum + edge.lost, 0);
      expect(test.of('status').at(-1)!.edgesLost).toBe(lost);
      expect(lost).toBeGreaterThan(0);
      // An edge that follows another of its kind follows a loss as well.
      edges.slice(1).forEach((edge, index) => {
        if (edge.closed === edges[index]!.closed) expect(edge.lost).toBeGreaterThan(0);
      });
      edges.slice(1).forEach((edge, index) => {
        expect(edge.tick).toBeGreaterThan(edges[index]!.tick);
      });
    },
  );

  it('closed already at the reset is told, as an edge whose time is unknown', () => {
    const test = new TestBoard();
    test.board.setContact(true);
    test.run(700);
    expect(test.of('edge')).toMatchObject([{ input: 'contact', closed: true, lost: 1 }]);
    test.board.setContact(false);
    test.run(10);
    expect(test.of('edge').at(-1)).toMatchObject({ input: 'contact', closed: false, lost: 0 });
  });

  it('does not follow spikes that the noise canceller swallows', () => {
    const test = new TestBoard();
    test.greet();
    for (let spike = 0; spike < 20; spike++) {
      test.board.setContact(true);
      test.board.setContact(false, test.board.cycle + 3);
      test.run(1);
    }
    test.run(600);
    expect(test.of('edge')).toEqual([]);
  });
});

describe('release switch', () => {
  it('is told with its tick, at most 10 µs late while idle', () => {
    const random = seededRandom(33);
    const test = new TestBoard();
    test.greet();
    const tickZero = test.findTickZero();
    const made: number[] = [];
    let cycle = test.board.cycle;
    for (let edge = 0; edge < 40; edge++) {
      cycle += Math.round((1 + 20 * random()) * CYCLES_PER_MILLISECOND);
      made.push(cycle);
      test.board.setRelease(edge % 2 === 0, cycle);
    }
    test.run((cycle - test.board.cycle) / CYCLES_PER_MILLISECOND + 10);
    const edges = test.of('edge').filter((edge) => edge.input === 'release');
    expect(edges.length).toBe(made.length);
    edges.forEach((edge, index) => {
      expect(edge).toMatchObject({ closed: index % 2 === 0, lost: 0 });
      const late = lateness(edge.tick, made[index]!, tickZero);
      expect(late).toBeGreaterThanOrEqual(-0.5);
      expect(late).toBeLessThan(10);
    });
  });
});

describe('both inputs chattering without end', () => {
  it.each([
    ['normal', 85],
    ['fast', 170],
  ] as const)(
    'at the %s rate cost conversions, which are counted, but neither the stream nor the commands',
    (rate, blocksAfter) => {
      const random = seededRandom(34);
      const test = new TestBoard({ rate });
      test.greet();
      test.ask({ type: 'start' });
      const next = { contact: test.board.cycle, release: test.board.cycle };
      const closed = { contact: false, release: false };
      const chatter = (milliseconds: number) => {
        for (let passed = 0; passed < milliseconds; passed++) {
          const end = test.board.cycle + CYCLES_PER_MILLISECOND;
          for (const input of ['contact', 'release'] as const) {
            for (; next[input] < end; next[input] += 160 + Math.round(400 * random())) {
              if (next[input] < test.board.cycle) continue;
              closed[input] = !closed[input];
              if (input === 'contact') test.board.setContact(closed[input], next[input]);
              else test.board.setRelease(closed[input], next[input]);
            }
          }
          test.board.run(end);
          test.read();
        }
      };
      chatter(1000);
      test.send(encodeCommand({ type: 'hello', tag: 77 }));
      chatter(100);
      expect(test.of('reply').some((reply) => reply.tag === 77 && reply.result === 0)).toBe(true);
      test.board.setContact(false);
      test.board.setRelease(false);
      test.run(800);
      expect(test.damage).toEqual([]);
      expect(test.sequenceJumps).toEqual([]);
      const status = test.of('status').at(-1)!;
      expect(status.edgesLost).toBeGreaterThan(100);
      expect(status.overruns).toBeGreaterThan(0);
      // In the end the board says what the pins say.
      for (const input of ['contact', 'release'] as const) {
        expect(
          test
            .of('edge')
            .filter((edge) => edge.input === input)
            .at(-1)!.closed,
        ).toBe(false);
      }
      // And loses nothing any more.
      test.forget();
      test.run(300);
      expect(test.of('samples').every((block) => block.lost === 0)).toBe(true);
      expect(test.of('samples').length).toBeGreaterThan(blocksAfter);
    },
  );
});
