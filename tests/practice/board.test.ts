import { describe, expect, it } from 'vitest';
import { EmulatedBoard } from '../../app/practice/board.ts';
import { normalNoiseAt, Random } from '../../app/practice/random.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { Listener, START_UP, TESTER_HEX } from './tester-firmware.ts';

const CYCLES_PER_TICK = 8;

/** Three channels of different light that changes slowly, with noise. */
const light = (channel: number, cycle: number) =>
  300 + 200 * channel + 150 * Math.sin(cycle / (4e5 + 1e5 * channel)) + 4 * normalNoiseAt(channel, cycle);

function started(mask: number) {
  const holds: { pin: number; cycle: number; code: number }[] = [];
  const pulses: { level: boolean; cycle: number }[] = [];
  const board = new EmulatedBoard({
    image: TESTER_HEX,
    light,
    onConversion: (pin, cycle, code) => holds.push({ pin, cycle, code }),
    onPulse: (level, cycle) => pulses.push({ level, cycle }),
  });
  const listener = new Listener(board);
  const send = (bytes: Uint8Array) => board.receive(bytes);
  listener.runFor(START_UP);
  listener.ask(send, { type: 'channels', tag: 1, mask });
  holds.length = 0; // what came before were measurements of the supply
  listener.ask(send, { type: 'start', tag: 2 });
  /**
   * Conversion 0 is the second: the first after enabling isn't used. The board's timer starts some time after
   * the reset, so the first sample tells which cycle tick 0 stands for.
   */
  const conversions = holds.filter(({ pin }) => pin < 8);
  const tickZero = conversions[1]!.cycle - listener.of('samples')[0]!.tick * CYCLES_PER_TICK;
  return { board, listener, send, holds, pulses, tickZero };
}

describe('the tester firmware on the emulated board', () => {
  it('introduces itself at 500 kbaud', () => {
    const board = new EmulatedBoard({ image: TESTER_HEX, light });
    const listener = new Listener(board);
    listener.runFor(START_UP);
    expect(board.baudRate).toBe(500_000);
    const [hello] = listener.of('hello');
    expect(hello).toMatchObject({
      kind: 'samples',
      tickHz: 2_000_000,
      ticksPerConversion: 52,
      bits: 8,
      resetCause: 1,
    });
    listener.runFor(9_000_000);
    expect(listener.of('status').at(-1)!.supplyMillivolts).toBeGreaterThan(4900);
    expect(listener.of('status').at(-1)!.supplyMillivolts).toBeLessThan(5100);
  });

  it.each([0b001, 0b101, 0b111])(
    'with channels %i sends every sample as the converter held it, with the tick it was held at',
    (mask) => {
      const { listener, holds, tickZero } = started(mask);
      listener.runFor(8_000_000);
      const blocks = listener.of('samples');
      expect(blocks.length).toBeGreaterThan(100);
      const conversions = holds.filter(({ pin }) => pin < 8).slice(1);
      let expected = 0;
      for (const block of blocks) {
        expect(block.index).toBe(expected);
        expect(block.lost).toBe(0);
        const first = conversions[block.index]!;
        expect(first.pin).toBe(block.first);
        expect(tickZero + block.tick * CYCLES_PER_TICK).toBe(first.cycle);
        for (const [n, value] of block.values.entries()) {
          const held = conversions[block.index + n]!;
          expect(value).toBe(Math.floor(Math.floor(light(held.pin, held.cycle)) / 4));
        }
        expected += block.values.length;
      }
      const rotation = [0, 1, 2].filter((channel) => mask & (1 << channel));
      expect(conversions.slice(0, 30).map(({ pin }) => pin)).toEqual(
        Array.from({ length: 30 }, (_, n) => rotation[n % rotation.length]),
      );
    },
  );

  it('tells contact and release edges with the tick they came at', () => {
    const { board, listener, tickZero } = started(1);
    const at = board.cycle + 100_001;
    const edges = [0, 3001, 90_000, 400_003].map((later) => at + later);
    for (const [n, cycle] of edges.entries()) board.setContact(n % 2 === 0, cycle);
    board.setRelease(true, at + 500_000);
    board.setRelease(false, at + 900_000);
    listener.runFor(3_000_000);
    const contact = listener.of('edge').filter((edge) => edge.input === 'contact');
    expect(contact.map((edge) => edge.closed)).toEqual([true, false, true, false]);
    for (const [n, edge] of contact.entries()) {
      const late = tickZero + edge.tick * CYCLES_PER_TICK - edges[n]!;
      expect(late).toBeGreaterThan(-CYCLES_PER_TICK);
      expect(late).toBeLessThan(2 * CYCLES_PER_TICK);
    }
    const release = listener.of('edge').filter((edge) => edge.input === 'release');
    expect(release.map((edge) => edge.closed)).toEqual([true, false]);
    expect(Math.abs(tickZero + release[0]!.tick * CYCLES_PER_TICK - (at + 500_000))).toBeLessThan(16 * 30); // 30 µs
  });

  it('gives reference light pulses of exactly the ticks it reports', () => {
    const { listener, send, pulses, tickZero } = started(1);
    listener.ask(send, { type: 'pulses', tag: 3, width: 70_001, gap: 1000, count: 3 });
    listener.runFor(3 * 71_001 * CYCLES_PER_TICK);
    const reported = listener.of('pulse');
    expect(reported).toHaveLength(3);
    expect(pulses).toHaveLength(6);
    for (const [n, pulse] of reported.entries()) {
      const [rise, fall] = [pulses[2 * n]!, pulses[2 * n + 1]!];
      expect([rise.level, fall.level]).toEqual([true, false]);
      expect(fall.cycle - rise.cycle).toBe(70_001 * CYCLES_PER_TICK);
      expect(pulse.fall - pulse.rise).toBe(70_001);
      expect(Math.abs(tickZero + pulse.rise * CYCLES_PER_TICK - rise.cycle)).toBeLessThanOrEqual(
        2 * CYCLES_PER_TICK,
      );
    }
  });

  it('keeps its serial number in the EEPROM over a loss of power', () => {
    const eeprom = new Uint8Array(1024).fill(0xff);
    const first = new EmulatedBoard({ image: TESTER_HEX, light, eeprom });
    const listener = new Listener(first);
    listener.runFor(START_UP);
    listener.ask((bytes) => first.receive(bytes), { type: 'serial', tag: 9, serial: 'BENCH-7' });
    listener.runFor(2_000_000);
    expect(listener.of('reply').at(-1)).toMatchObject({ tag: 9, result: 0 });
    const second = new Listener(new EmulatedBoard({ image: TESTER_HEX, light, eeprom }));
    second.runFor(START_UP);
    expect(second.of('hello')[0]!.serial).toBe('BENCH-7');
  });
});

describe('the emulated board', () => {
  it('does the same however its time is divided', () => {
    /** Bytes, and a fingerprint of the memory, after the same doings at the same cycles. */
    const outcome = (slices: () => number) => {
      const board = new EmulatedBoard({ image: TESTER_HEX, light });
      const runTo = (cycle: number) => {
        while (board.cycle < cycle) board.run(Math.min(cycle, board.cycle + slices()));
      };
      runTo(1_500_000);
      board.receive(encodeCommand({ type: 'channels', tag: 1, mask: 5 }));
      runTo(1_800_000);
      board.receive(encodeCommand({ type: 'start', tag: 2 }));
      board.setContact(true, 2_200_123);
      board.setContact(false, 2_200_600);
      runTo(2_400_000);
      board.receive(encodeCommand({ type: 'pulses', tag: 3, width: 500, gap: 700, count: 5 }));
      runTo(3_000_000);
      return {
        bytes: board.takeBytes(),
        ram: board.ram.slice(),
        at: board.programCounter,
        cycle: board.cycle,
      };
    };
    const whole = outcome(() => 10_000_000);
    expect(whole.bytes.length).toBeGreaterThan(3000);
    const random = new Random(4);
    expect(outcome(() => 1 + Math.floor(60 * random.uniform()))).toEqual(whole);
    expect(outcome(() => 1)).toEqual(whole);
    expect(outcome(() => 12_345)).toEqual(whole);
  });

  it('starts anew after a reset, tells its cause, and starts its ticks from zero', () => {
    const board = new EmulatedBoard({ image: TESTER_HEX, light });
    const listener = new Listener(board);
    listener.runFor(START_UP);
    board.setContact(true, board.cycle + 2 * START_UP);
    const resetAt = board.cycle;
    board.reset('external');
    listener.runFor(START_UP);
    expect(listener.of('hello').at(-1)!.resetCause).toBe(2);
    listener.runFor(5_000_000);
    const status = listener.of('status').at(-1)!;
    expect(status.tick * CYCLES_PER_TICK).toBeLessThan(board.cycle - resetAt);
    board.reset('power on');
    listener.runFor(START_UP + 1_000_000);
    expect(listener.of('hello').at(-1)!.resetCause).toBe(1);
    expect(listener.of('edge').map((edge) => edge.closed)).toEqual([true]); // planned before the resets
  });

  it('keeps SRAM through a reset and fills it with rubbish at power-on', () => {
    const board = new EmulatedBoard({ image: new Uint16Array(0x4000), light });
    expect(new Set(board.ram).size).toBeGreaterThan(200);
    board.ram[77] = 1;
    board.ram[78] = 2;
    board.reset('watchdog');
    expect([...board.ram.subarray(77, 79)]).toEqual([1, 2]);
    board.reset('power on');
    expect([...board.ram.subarray(77, 79)]).not.toEqual([1, 2]);
  });

  it('refuses a damaged image, a wrong EEPROM and a switch that changes in the past', () => {
    expect(() => new EmulatedBoard({ image: TESTER_HEX.slice(0, 500), light })).toThrow(/Hex file/);
    expect(() => new EmulatedBoard({ image: TESTER_HEX, light, eeprom: new Uint8Array(512) })).toThrow(
      /1024/,
    );
    const board = new EmulatedBoard({ image: TESTER_HEX, light });
    board.run(1000);
    expect(() => board.setContact(true, 999)).toThrow(/past/);
  });

  it('stops with an error at parts it has not got', () => {
    // LDI r24, 1; OUT TCCR0B, r24
    const program = new Uint16Array(0x4000);
    program.set([0xe081, 0xbd85]);
    const board = new EmulatedBoard({ image: program, light });
    expect(() => board.run(10)).toThrow(/no timer 0/);
    // LDI r24, 1; STS SPMCSR, r24: without a boot loader
    program.set([0xe081, 0xbf87]);
    expect(() => new EmulatedBoard({ image: program, light }).run(10)).toThrow(/no self-programming/);
  });

  it('is reset by its watchdog, again and again', () => {
    // LDI r24, 0x08; STS WDTCSR, r24; SBI DDRB, 1; SBI PORTB, 1; RJMP to itself
    const program = new Uint16Array(0x4000);
    program.set([0xe088, 0x9380, 0x0060, 0x9a21, 0x9a29, 0xcfff]);
    const rises: number[] = [];
    const onPulse = (level: boolean, cycle: number) => level && rises.push(cycle);
    const board = new EmulatedBoard({ image: program, light, onPulse });
    board.run(800_000);
    expect(rises).toHaveLength(4);
    for (const [i, cycle] of rises.slice(1).entries()) {
      // 16 ms from the watchdog's start to the reset (data sheet, table 11-2), and a few cycles to both.
      expect(cycle - rises[i]!).toBeGreaterThanOrEqual(256_000);
      expect(cycle - rises[i]!).toBeLessThan(256_020);
    }
  });

  it('starts in its boot loader at every reset, with the rest of the program memory as the image has it', () => {
    const program = Uint16Array.from({ length: 0x4000 }, (_, word) => word);
    const section = new Uint16Array(0x4000).fill(0xcfff); // RJMP to itself
    const bootLoader = { image: section, start: 0x7e00 };
    const board = new EmulatedBoard({ image: program, light, bootLoader });
    expect(board.program.subarray(0, 0x3f00)).toEqual(program.subarray(0, 0x3f00));
    expect(board.program.subarray(0x3f00)).toEqual(section.subarray(0x3f00));
    board.run(100);
    expect(board.programCounter).toBe(0x3f00);
    board.reset();
    expect(board.programCounter).toBe(0x3f00);
    expect(program[0x3f00]).toBe(0x3f00); // the caller's own memory stays as it is
  });
});
