import { describe, expect, it } from 'vitest';
import { CYCLES_PER_CONVERSION, CYCLES_PER_TICK, conversionsMissing, TestBoard } from './test-board.ts';

/** Light whose 8-bit code tells channel and time apart: the code changes with each conversion's hold. */
const codeOf = (channel: number, cycle: number) => (channel + 1) * 64 + (Math.floor(cycle / 208) % 61);
const light = (channel: number, cycle: number) => 4 * codeOf(channel, cycle) + 2;

describe('sampling', () => {
  for (const [rate, mask, rotation] of [
    ['normal', 0b001, [0]],
    ['normal', 0b010, [1]],
    ['normal', 0b100, [2]],
    ['normal', 0b011, [0, 1]],
    ['normal', 0b101, [0, 2]],
    ['normal', 0b110, [1, 2]],
    ['normal', 0b111, [0, 1, 2]],
    ['fast', 0b001, [0]],
    ['fast', 0b010, [1]],
    ['fast', 0b100, [2]],
  ] as const) {
    it(`of channels ${rotation.join(', ')} at the ${rate} rate: every value is the right conversion at its true time`, () => {
      const test = new TestBoard({ light, keepConversions: true, rate });
      test.greet();
      const tickZero = test.findTickZero();
      test.ask({ type: 'channels', mask });
      test.ask({ type: 'start' });
      test.run(150);
      const blocks = test.of('samples');
      expect(blocks.length).toBeGreaterThan(40);
      expect(test.sequenceJumps).toEqual([]);
      blocks.forEach((block, position) => {
        expect(block).toMatchObject({ index: 128 * position, mask, lost: 0 });
        expect(block.values.length).toBe(128);
        expect(block.first).toBe(rotation[block.index % rotation.length]);
        // The first conversion is not used and not counted.
        const held = test.conversions.slice(1 + block.index, 1 + block.index + 128);
        const late = tickZero + block.tick * CYCLES_PER_TICK - held[0]!.holdCycle;
        // The tick is the one that was running when the sample was held, or the next: within 0.5 µs.
        expect(Math.abs(late)).toBeLessThan(CYCLES_PER_TICK);
        held.forEach((conversion, offset) => {
          const channel = rotation[(block.index + offset) % rotation.length]!;
          expect(conversion.multiplexer & 15).toBe(channel);
          expect(conversion.holdCycle).toBe(held[0]!.holdCycle + CYCLES_PER_CONVERSION[rate] * offset);
          expect(block.values[offset]).toBe(codeOf(channel, conversion.holdCycle));
        });
      });
    });
  }

  it.each(['normal', 'fast'] as const)(
    'at the %s rate places the ticks alike in every block and after every start',
    (rate) => {
      const test = new TestBoard({ keepConversions: true, rate });
      test.greet();
      const delays = new Set<number>();
      for (let start = 0; start < 10; start++) {
        test.forget();
        test.ask({ type: 'start' });
        test.run(20 + start);
        const ofThisStart = test
          .of('samples')
          .map((block) => block.tick * CYCLES_PER_TICK - test.conversions[1 + block.index]!.holdCycle);
        expect(new Set(ofThisStart).size).toBe(1);
        for (const delay of ofThisStart) delays.add(delay);
        test.ask({ type: 'stop' });
      }
      // From start to start the timer stands at any of its 8 cycles.
      expect(Math.max(...delays) - Math.min(...delays)).toBeLessThan(CYCLES_PER_TICK);
    },
  );

  it('sends nothing after the answer to stop, and begins again at conversion 0', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'start' });
    test.run(100);
    test.ask({ type: 'stop' });
    const stopped = test.messages.length;
    test.run(300);
    expect(test.messages.slice(stopped).filter((message) => message.type === 'samples')).toEqual([]);
    test.forget();
    test.ask({ type: 'start' });
    test.run(30);
    const [first] = test.messages.filter((message) => message.type !== 'status');
    expect(first!.type).toBe('reply');
    expect(test.of('samples')[0]!.index).toBe(0);
  });

  it.each([
    ['normal', 6000],
    ['fast', 12_000],
  ] as const)(
    'at the %s rate loses nothing in 20 s with 100 contact edges and 4 commands a second and pulses running',
    (rate, leastBlocks) => {
      const test = new TestBoard({ light: () => 1022, rate });
      test.greet();
      expect(test.ask({ type: 'pulses', width: 2000, gap: 98_000, count: 255 }).result).toBe(0);
      test.ask({ type: 'start' });
      const started = test.board.cycle;
      for (let edge = 0; edge < 2000; edge++) {
        test.board.setContact(edge % 2 === 0, started + 160_000 * edge + 7 * edge);
      }
      for (let edge = 0; edge < 40; edge++)
        test.board.setRelease(edge % 2 === 0, started + 8_000_000 * edge + 99);
      for (let quarter = 0; quarter < 80; quarter++) {
        test.ask({ type: (['hello', 'start', 'hello', 'serial'] as const)[quarter % 4]!, serial: 'BUSY' });
        test.run(250 - (test.board.cycle - started - quarter * 4_000_000) / 16_000);
      }
      test.run(100);
      expect(test.damage).toEqual([]);
      expect(test.sequenceJumps).toEqual([]);
      const blocks = test.of('samples');
      expect(blocks.length).toBeGreaterThan(leastBlocks);
      expect(conversionsMissing(blocks)).toBe(0);
      const edges = test.of('edge');
      expect(edges.filter((edge) => edge.input === 'contact').length).toBe(2000);
      expect(edges.filter((edge) => edge.input === 'release').length).toBe(40);
      expect(edges.every((edge) => edge.lost === 0)).toBe(true);
      expect(test.of('pulse').length).toBe(255);
      expect(test.of('status').at(-1)).toMatchObject({
        overruns: 0,
        commandBytesLost: 0,
        commandsRefused: 0,
        edgesLost: 0,
      });
    },
    600_000, // when everything else runs at the same time
  );
});

describe('an overrun', () => {
  it.each(['normal', 'fast'] as const)(
    'at the %s rate, made by a chattering contact, shows in its block, in the next index and in the status',
    (rate) => {
      const test = new TestBoard({ light, keepConversions: true, rate });
      test.greet();
      const tickZero = test.findTickZero();
      test.ask({ type: 'start' });
      test.run(30);
      // 24 edges, each while the one before is still being noted: their interrupt comes first and keeps the ADC's waiting.
      const { cycle } = test.board;
      for (let edge = 0; edge < 24; edge++) test.board.setContact(edge % 2 === 0, cycle + 1000 + 112 * edge);
      test.run(600);
      const blocks = test.of('samples');
      const overrun = blocks.filter((block) => block.lost > 0);
      expect(overrun.length).toBeGreaterThanOrEqual(1);
      expect(overrun.length).toBeLessThanOrEqual(2);
      expect(conversionsMissing(blocks)).toBe(overrun.reduce((sum, block) => sum + block.lost, 0));
      expect(test.of('status').at(-1)!.overruns).toBe(conversionsMissing(blocks));
      // Whatever was lost, every other block holds the conversions its index and tick say.
      for (const block of blocks.filter((one) => one.lost === 0)) {
        const held = test.conversions.slice(1 + block.index, 129 + block.index);
        expect(Math.abs(tickZero + block.tick * CYCLES_PER_TICK - held[0]!.holdCycle)).toBeLessThan(
          CYCLES_PER_TICK,
        );
        expect([...block.values]).toEqual(held.map((conversion) => codeOf(0, conversion.holdCycle)));
      }
    },
  );

  it('at the fast rate, made by damaged bytes and both inputs chattering, costs blocks but never a wrong one', () => {
    const test = new TestBoard({ light, keepConversions: true, rate: 'fast' });
    test.greet();
    const tickZero = test.findTickZero();
    test.ask({ type: 'start' });
    for (let burst = 0; burst < 6; burst++) {
      // Half the board's speed: each byte is one with a framing error, and they come without a pause.
      test.board.receive(new Uint8Array(1000), test.baudRate / 2);
      const { cycle } = test.board;
      for (let edge = 0; edge < 120 * (burst % 2); edge++) {
        test.board.setContact(edge % 2 === 0, cycle + 2000 + 150 * edge);
        test.board.setRelease(edge % 3 === 0, cycle + 2040 + 170 * edge);
      }
      test.run(30);
    }
    test.run(600);
    expect(test.damage).toEqual([]);
    expect(test.sequenceJumps).toEqual([]);
    const blocks = test.of('samples');
    expect(conversionsMissing(blocks)).toBeGreaterThan(100);
    expect(test.of('status').at(-1)!.overruns).toBe(conversionsMissing(blocks));
    // Some are lost between whole blocks, since none was free to fill.
    const between = blocks.slice(1).filter((block, n) => {
      const before = blocks[n]!;
      return block.index !== before.index + before.values.length + before.lost;
    });
    expect(between.length).toBeGreaterThan(0);
    for (const block of blocks.filter((one) => one.lost === 0)) {
      const held = test.conversions.slice(1 + block.index, 129 + block.index);
      expect(Math.abs(tickZero + block.tick * CYCLES_PER_TICK - held[0]!.holdCycle)).toBeLessThan(
        CYCLES_PER_TICK,
      );
      expect([...block.values]).toEqual(held.map((conversion) => codeOf(0, conversion.holdCycle)));
    }
    expect(blocks.at(-1)!.lost).toBe(0);
  });

  it('with three channels never puts a value on the wrong channel of a block that counts', () => {
    const test = new TestBoard({ light, keepConversions: true });
    test.greet();
    test.ask({ type: 'channels', mask: 7 });
    test.ask({ type: 'start' });
    test.run(10);
    const { cycle } = test.board;
    // Bursts at many places within a block and a conversion.
    for (let burst = 0; burst < 60; burst++) {
      const at = cycle + 260_000 * burst + 1009 * burst;
      for (let edge = 0; edge < 2 + (burst % 12); edge++) {
        test.board.setContact(edge % 2 === 0, at + 1000 + 130 * edge);
      }
      test.board.setContact(false, at + 5000);
    }
    test.run(1100);
    const blocks = test.of('samples');
    const counting = blocks.filter((block) => block.lost === 0);
    expect(blocks.length - counting.length).toBeGreaterThan(10);
    expect(counting.length).toBeGreaterThan(150);
    for (const block of counting) {
      const held = test.conversions.slice(1 + block.index, 129 + block.index);
      held.forEach((conversion, offset) => {
        expect(conversion.multiplexer & 15).toBe((block.index + offset) % 3);
        expect(block.values[offset]).toBe(codeOf(conversion.multiplexer & 15, conversion.holdCycle));
      });
    }
  });
});
