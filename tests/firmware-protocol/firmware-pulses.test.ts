import { describe, expect, it } from 'vitest';
import { ReplyResult } from '../../firmware-protocol/messages.ts';
import { CYCLES_PER_TICK, TestBoard } from './test-board.ts';

/** Checks that the pin did exactly what was asked for and what the messages say. */
function expectTrain(test: TestBoard, width: number, gap: number, count: number): void {
  const { pulseEdges } = test;
  expect(pulseEdges.map((edge) => edge.level)).toEqual(
    Array.from({ length: 2 * count }, (_, i) => i % 2 === 0),
  );
  pulseEdges.slice(1).forEach((edge, index) => {
    const ticks = index % 2 === 0 ? width : gap;
    expect(edge.cycle - pulseEdges[index]!.cycle).toBe(ticks * CYCLES_PER_TICK);
  });
  const pulses = test.of('pulse');
  expect(pulses.map((pulse) => pulse.remaining)).toEqual(
    Array.from({ length: count }, (_, i) => count - 1 - i),
  );
  const start = pulses[0]!.rise * CYCLES_PER_TICK - pulseEdges[0]!.cycle;
  pulses.forEach((pulse, index) => {
    expect(pulse.rise * CYCLES_PER_TICK - pulseEdges[2 * index]!.cycle).toBe(start);
    expect(pulse.fall * CYCLES_PER_TICK - pulseEdges[2 * index + 1]!.cycle).toBe(start);
  });
}

describe('reference pulses', () => {
  for (const [width, gap, count, milliseconds] of [
    [200, 200, 4, 20],
    [201, 333, 4, 20],
    [2000, 3000, 20, 60],
    [65_535, 65_536, 3, 300],
    [65_536, 65_537, 3, 300],
    [65_537, 65_535, 3, 300],
    [65_736, 98_304, 2, 300],
    [98_305, 131_072, 2, 400],
    [131_073, 200_000, 2, 500],
    [1_000_001, 300, 1, 700],
  ] as const) {
    // At the fast rate the shortest are the hard case, and one of each kind of long ones.
    const rates = width <= 2000 || width === 98_305 ? (['normal', 'fast'] as const) : (['normal'] as const);
    it.each(rates)(
      `of ${width} ticks, ${gap} apart, are exact to the cycle while the board streams at the %s rate`,
      (rate) => {
        const test = new TestBoard({ rate });
        test.greet();
        test.ask({ type: 'start' });
        expect(test.ask({ type: 'pulses', width, gap, count }).result).toBe(ReplyResult.done);
        test.run(milliseconds);
        expectTrain(test, width, gap, count);
      },
    );
  }

  it.each(['normal', 'fast'] as const)(
    'stay exact with contact edges and commands in between at the %s rate',
    (rate) => {
      const test = new TestBoard({ rate });
      test.greet();
      test.ask({ type: 'start' });
      test.ask({ type: 'pulses', width: 1234, gap: 20_000, count: 20 });
      const { cycle } = test.board;
      for (let edge = 0; edge < 20; edge++) test.board.setContact(edge % 2 === 0, cycle + 160_001 * edge);
      for (let turn = 0; turn < 10; turn++) {
        test.ask({ type: 'hello' });
        test.run(20);
      }
      test.run(100);
      expectTrain(test, 1234, 20_000, 20);
    },
  );

  it('are timed on the same clock as the contact, within 0.5 µs', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'pulses', width: 4000, gap: 4000, count: 1 });
    test.run(10);
    const cycle = test.board.cycle + 777;
    test.board.setContact(true, cycle);
    test.run(10);
    const ticks = test.of('edge')[0]!.tick - test.of('pulse')[0]!.rise;
    expect(Math.abs(ticks * CYCLES_PER_TICK - (cycle - test.pulseEdges[0]!.cycle))).toBeLessThanOrEqual(
      CYCLES_PER_TICK,
    );
  });

  it('are refused outside their limits', () => {
    const test = new TestBoard();
    test.greet();
    for (const [width, gap] of [
      [199, 200],
      [200, 199],
      [0x80000000, 200],
      [200, 0xffffffff],
    ] as const) {
      expect(test.ask({ type: 'pulses', width, gap, count: 1 }).result).toBe(ReplyResult.badValue);
    }
    test.run(50);
    expect(test.pulseEdges).toEqual([]);
  });

  it('are not disturbed by others asked for meanwhile', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'pulses', width: 40_000, gap: 40_000, count: 3 });
    expect(test.ask({ type: 'pulses', width: 500, gap: 500, count: 9 }).result).toBe(ReplyResult.busy);
    test.run(200);
    expectTrain(test, 40_000, 40_000, 3);
  });

  it('end soon when told to, while high or low, and can begin again', () => {
    for (const wait of [30, 150]) {
      const test = new TestBoard();
      test.greet();
      test.ask({ type: 'pulses', width: 200_000, gap: 200_000, count: 100 });
      test.run(wait);
      const stopped = test.board.cycle;
      expect(test.ask({ type: 'pulses', width: 0, gap: 0, count: 0 }).result).toBe(ReplyResult.done);
      test.run(300);
      expect(test.pulseEdges.map((edge) => edge.level)).toEqual([true, false]);
      expect(test.pulseEdges[1]!.cycle - stopped).toBeLessThan(20_000);
      const [pulse, ...more] = test.of('pulse');
      expect(more).toEqual([]);
      expect((pulse!.fall - pulse!.rise) * CYCLES_PER_TICK).toBe(
        test.pulseEdges[1]!.cycle - test.pulseEdges[0]!.cycle,
      );
      test.forget();
      expect(test.ask({ type: 'pulses', width: 300, gap: 70_000, count: 2 }).result).toBe(ReplyResult.done);
      test.run(100);
      expectTrain(test, 300, 70_000, 2);
    }
  });
});
