import { describe, expect, it } from 'vitest';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { seededRandom } from '../seeded-random.ts';
import { conversionsMissing, TestBoard } from './test-board.ts';

/** RAM between the firmware's variables, which end below 0x610, and the deepest place of its stack. */
const UNUSED = { from: 0x700 - 0x100, to: 0x800 - 0x100 };

describe('bytes of any kind from the page', () => {
  it('never stop the stream: 200 kB of noise at full speed, then a good command', () => {
    const random = seededRandom(41);
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'start' });
    test.forget();
    test.board.ram.fill(0xa5, UNUSED.from, UNUSED.to);
    const sent = 200_000;
    for (let left = sent; left > 0; left -= 1000) {
      test.board.receive(Uint8Array.from({ length: 1000 }, () => (random() < 0.1 ? 0 : random() * 256)));
      test.run(20);
    }
    test.run(100);
    expect(test.damage).toEqual([]);
    expect(test.sequenceJumps).toEqual([]);
    const blocks = test.of('samples');
    expect(blocks.length).toBeGreaterThan(1100);
    const status = test.of('status').at(-1)!;
    expect(status.streaming).toBe(true);
    expect(status.commandsRefused).toBeGreaterThan(1000);
    // What it cost the stream is counted, to the conversion.
    expect(status.overruns).toBe(conversionsMissing(blocks));
    // The noise ended within a frame: a delimiter ends that as well.
    test.board.receive(Uint8Array.of(0));
    expect(test.ask({ type: 'hello' }).result).toBe(0);
    expect(test.of('hello').at(-1)!.board).toBe('ATmega328P');
    // Neither variables nor stack ever came near.
    expect(test.board.ram.subarray(UNUSED.from, UNUSED.to).every((byte) => byte === 0xa5)).toBe(true);
  });

  it('never crash it: good commands of all types, damaged in all ways', () => {
    const random = seededRandom(42);
    const test = new TestBoard();
    test.greet();
    const commands = [
      encodeCommand({ type: 'hello', tag: 1 }),
      encodeCommand({ type: 'start', tag: 2 }),
      encodeCommand({ type: 'stop', tag: 3 }),
      encodeCommand({ type: 'channels', tag: 4, mask: 5 }),
      encodeCommand({ type: 'pulses', tag: 5, width: 300, gap: 300, count: 2 }),
      encodeCommand({ type: 'serial', tag: 6, serial: 'X' }),
    ];
    for (let trial = 0; trial < 1500; trial++) {
      const bytes = [...commands[Math.floor(random() * commands.length)]!];
      const at = Math.floor(random() * bytes.length);
      const kind = Math.floor(random() * 5);
      if (kind === 0) bytes[at]! ^= 1 << Math.floor(random() * 8);
      if (kind === 1) bytes.splice(at, 1);
      if (kind === 2) bytes.splice(at, 0, ...bytes.slice(0, at));
      if (kind === 3) bytes.splice(at, 0, Math.floor(random() * 256));
      test.board.receive(Uint8Array.from(bytes));
      test.run(random() * 2);
    }
    test.run(500);
    expect(test.damage).toEqual([]);
    expect(test.sequenceJumps).toEqual([]);
    // It never began anew.
    expect(test.of('hello').filter((hello) => hello.sequence === 0 && hello.resetCause !== 1)).toEqual([]);
    expect(test.of('status').at(-1)!.commandsRefused).toBeGreaterThan(500);
    test.board.receive(Uint8Array.of(0));
    expect(test.ask({ type: 'hello' }).result).toBe(0);
  });

  it('that come faster than it can answer are lost, and counted', () => {
    const test = new TestBoard();
    test.greet();
    test.ask({ type: 'start' });
    test.forget();
    const burst = Buffer.concat(
      Array.from({ length: 2000 }, (_, tag) => encodeCommand({ type: 'hello', tag: tag & 255 })),
    );
    test.board.receive(burst);
    test.run(1000);
    expect(test.damage).toEqual([]);
    expect(test.sequenceJumps).toEqual([]);
    const status = test.of('status').at(-1)!;
    expect(status.commandBytesLost).toBeGreaterThan(1000);
    expect(status.overruns).toBe(conversionsMissing(test.of('samples')));
    test.board.receive(Uint8Array.of(0));
    expect(test.ask({ type: 'stop' }).result).toBe(0);
  });
});
