import { describe, expect, it } from 'vitest';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { ReplyResult } from '../../firmware-protocol/messages.ts';
import { seededRandom } from '../seeded-random.ts';
import { ASKING_EVERY, TestBoard } from './test-board.ts';

const hello = (tag: number) => encodeCommand({ type: 'hello', tag });

/** Asks as a page does, every 250 ms; how many questions it took until one was answered, at most `most`. */
function questionsUntilAnswered(test: TestBoard, most = 6): number {
  for (let asked = 1; asked <= most; asked++) {
    test.send(hello(100 + asked));
    test.run(ASKING_EVERY);
    if (test.of('reply').some((reply) => reply.tag > 100)) return asked;
  }
  return Number.POSITIVE_INFINITY;
}

describe('the speed of the line', () => {
  it('is 500 kbaud after a reset, where the board introduces itself', () => {
    const test = new TestBoard();
    expect(test.greet().ticksPerConversion).toBe(52);
    test.run(1500);
    expect(test.board.baudRate).toBe(BAUD_RATES.normal);
    expect(test.damage).toEqual([]);
  });

  it('becomes that of a page at 1 Mbaud by its third question at the latest, and the rate goes with it', () => {
    // The page may begin to ask at any time after the reset and within a turn of the board's timer.
    for (let n = 0; n < 6; n++) {
      const test = new TestBoard({ rate: 'fast' });
      test.run(90 + 47.3 * n);
      expect(questionsUntilAnswered(test)).toBeLessThanOrEqual(3);
      expect(test.board.baudRate).toBe(BAUD_RATES.fast);
      expect(test.of('hello').at(-1)).toMatchObject({ tickHz: 2_000_000, ticksPerConversion: 26, bits: 8 });
      test.forget();
      test.damage.length = 0;
      test.run(600);
      expect(test.of('status').length).toBeGreaterThanOrEqual(2);
      expect(test.damage).toEqual([]);
    }
  });

  it('stays that of a page at 500 kbaud whose first command comes whole, whatever it is', () => {
    for (const command of [
      encodeCommand({ type: 'hello', tag: 1 }),
      encodeCommand({ type: 'channels', tag: 1, mask: 1 }),
      encodeCommand({ type: 'start', tag: 1 }),
    ]) {
      const test = new TestBoard();
      test.greet();
      test.send(command);
      test.run(50);
      expect(test.of('reply').at(-1)).toMatchObject({ tag: 1, result: ReplyResult.done });
      test.run(1000);
      expect(test.board.baudRate).toBe(BAUD_RATES.normal);
    }
  });

  it('is found again by either page after noise, however long it lasted', () => {
    const random = seededRandom(51);
    for (const rate of ['normal', 'fast'] as const) {
      for (const length of [1, 3, 40, 2000]) {
        const test = new TestBoard({ rate });
        test.run(150 + 100 * random());
        for (let burst = 0; burst < 3; burst++) {
          const noise = Uint8Array.from({ length }, () => random() * 256);
          test.board.receive(noise, [115_200, 500_000, 1_000_000, 9600][Math.floor(4 * random())]);
          test.run(70 * random());
        }
        expect(questionsUntilAnswered(test), `${length} bytes, ${rate}`).toBeLessThanOrEqual(4);
        expect(test.board.baudRate).toBe(BAUD_RATES[rate]);
      }
    }
  });

  it('changes at most once in about 100 ms while noise goes on', () => {
    const random = seededRandom(52);
    const test = new TestBoard();
    test.greet();
    const changes: number[] = [];
    let before = test.board.baudRate;
    for (let passed = 0; passed < 2000; passed++) {
      test.send(Uint8Array.from({ length: 2 }, () => 1 + 255 * random()));
      test.run(1);
      if (test.board.baudRate !== before) changes.push(passed);
      before = test.board.baudRate;
    }
    expect(changes.length).toBeGreaterThan(10);
    changes.slice(1).forEach((at, n) => {
      expect(at - changes[n]!).toBeGreaterThanOrEqual(95);
    });
    // The first is a matter of what is heard alone, within two turns of the timer.
    expect(changes[0]).toBeGreaterThanOrEqual(30);
    expect(changes[0]).toBeLessThanOrEqual(70);
  });

  it('never changes any more after the first good command, whatever comes', () => {
    const random = seededRandom(53);
    for (const rate of ['normal', 'fast'] as const) {
      const test = new TestBoard({ rate });
      test.greet();
      test.ask({ type: 'start' });
      for (let burst = 0; burst < 30; burst++) {
        const noise = Uint8Array.from({ length: 1 + 60 * random() }, () => random() * 256);
        test.board.receive(noise, [9600, 115_200, 500_000, 1_000_000][burst % 4]);
        test.run(60);
        expect(test.board.baudRate).toBe(BAUD_RATES[rate]);
      }
      test.send(Uint8Array.of(0));
      expect(test.ask({ type: 'hello' }).result).toBe(ReplyResult.done);
      expect(test.of('samples').every((block) => block.lost === 0)).toBe(true);
    }
  });

  it('is the normal one again after a reset', () => {
    const test = new TestBoard({ rate: 'fast' });
    expect(test.greet().ticksPerConversion).toBe(26);
    test.board.reset();
    test.run(200);
    expect(test.board.baudRate).toBe(BAUD_RATES.normal);
  });

  it('changes in the middle of a command without taking its rest for another', () => {
    const test = new TestBoard();
    test.greet();
    const pulses = encodeCommand({ type: 'pulses', tag: 9, width: 300, gap: 300, count: 1 });
    test.send(pulses.subarray(0, 6));
    test.run(40);
    // Heard at 1 Mbaud by now or soon; the rest, at any speed, is no command.
    for (const speed of [1_000_000, 500_000]) {
      test.board.receive(pulses.subarray(6), speed);
      test.run(200);
    }
    expect(test.of('reply')).toEqual([]);
    expect(test.pulseEdges).toEqual([]);
  });

  it('at the fast rate carries one channel: several are refused and nothing changes', () => {
    const test = new TestBoard({ rate: 'fast' });
    test.greet();
    for (const mask of [3, 5, 6, 7, 0, 8]) {
      expect(test.ask({ type: 'channels', mask }).result).toBe(ReplyResult.badValue);
    }
    for (const mask of [4, 2, 1]) {
      expect(test.ask({ type: 'channels', mask }).result).toBe(ReplyResult.done);
    }
    test.ask({ type: 'start' });
    test.run(20);
    expect(test.of('samples')[0]).toMatchObject({ mask: 1, first: 0, index: 0 });
  });
});
