/** Messages lost, doubled, out of order or from elsewhere: what the assembler hands on as unbroken must be so. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { SampleRun, StreamEvent } from '../../app/link/stream.ts';
import { StreamAssembler } from '../../app/link/stream-assembler.ts';
import type { Message, Samples } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { hello, status } from './fake-port.ts';

const STEP = hello.ticksPerConversion;
const MESSAGES = 700;

const FIRST_TICK = 2 ** 32 - 3_000_000;

/** A board's stream whose ticks and indices wrap on the way; every ninth message is a status. */
const stream: readonly Message[] = (() => {
  const list: Message[] = [];
  const start = 2 ** 32 - 40_000;
  let index = start;
  let tick = FIRST_TICK;
  for (let n = 0; n < MESSAGES; n++) {
    const sequence = n & 0xff;
    if (n % 9 === 4) {
      list.push({ ...status, sequence, tick: ticks(tick % 2 ** 32) });
      continue;
    }
    const length = n % 13 === 0 ? 1 + (n % 127) : 128;
    // Each value tells its own place.
    const values = Uint8Array.from({ length }, (_, i) => placeValue(index - start + i));
    const block: Samples = {
      type: 'samples',
      sequence,
      index: index % 2 ** 32,
      tick: ticks(tick % 2 ** 32),
      mask: 1,
      first: 0,
      lost: 0,
      values,
    };
    list.push(block);
    index += length;
    tick += length * STEP;
  }
  return list;
})();

/** All samples of the stream. */
const SENT = Uint8Array.from(
  stream.flatMap((message) => (message.type === 'samples' ? [...message.values] : [])),
);

function placeValue(place: number): number {
  return (Math.imul(place, 2654435761) >>> 24) & 0xff;
}

function eventsOf(messages: readonly Message[]): StreamEvent[] {
  const events: StreamEvent[] = [];
  const assembler = new StreamAssembler(hello, (event) => events.push(event));
  for (const message of messages) assembler.message(message);
  return events;
}

/** Runs with no gap between them follow each other without a sample missing, and carry what was sent at their ticks. */
function expectUnbroken(events: readonly StreamEvent[]): void {
  let before: SampleRun | null = null;
  for (const event of events) {
    if (event.kind === 'gap') before = null;
    if (event.kind !== 'run') continue;
    if (before && event.firstTick !== before.firstTick + before.values.length * STEP)
      expect.fail(`A run at ${event.firstTick} follows one at ${before.firstTick} without a gap`);
    const place = (((event.firstTick - FIRST_TICK) % 2 ** 32) + 2 ** 32) % 2 ** 32;
    const from = place / STEP;
    const sent = SENT.subarray(from, from + event.values.length);
    if (place % STEP !== 0 || Buffer.compare(event.values, sent) !== 0)
      expect.fail(`A run at ${event.firstTick} is not what was sent at that tick`);
    before = event;
  }
}

it('the stream as it was sent is one piece', () => {
  const events = eventsOf(stream);
  expect(events.filter(({ kind }) => kind === 'gap')).toEqual([]);
  expectUnbroken(events);
});

it('messages lost in runs of any length, 256 and 512 among them, always leave a gap where a block is missing', () => {
  const loss = fc.tuple(
    fc.nat(MESSAGES - 1),
    fc.oneof(fc.integer({ min: 1, max: 20 }), fc.constantFrom(255, 256, 257, 512)),
  );
  fc.assert(
    fc.property(fc.array(loss, { minLength: 1, maxLength: 8 }), (losses) => {
      const left = stream.filter((_, n) => !losses.some(([from, count]) => n >= from && n < from + count));
      expectUnbroken(eventsOf(left));
    }),
    { seed: 21, numRuns: 100 },
  );
});

it('messages doubled, exchanged, and old ones put in anywhere never become a part of the stream', () => {
  const change = fc.tuple(
    fc.constantFrom('double', 'exchange', 'replay', 'replace' as const),
    fc.nat(MESSAGES - 2),
    fc.oneof(fc.nat(MESSAGES - 1), fc.constantFrom(256, 512)),
  );
  fc.assert(
    fc.property(fc.array(change, { minLength: 1, maxLength: 6 }), (changes) => {
      const messages = [...stream];
      for (const [how, at, back] of changes) {
        const old = messages[Math.max(0, at - back)]!;
        if (how === 'double') messages.splice(at, 0, messages[at]!);
        else if (how === 'exchange') messages.splice(at, 2, messages[at + 1]!, messages[at]!);
        else messages.splice(at, how === 'replace' ? 1 : 0, old);
      }
      expectUnbroken(eventsOf(messages));
    }),
    { seed: 22, numRuns: 100 },
  );
});

it('headers that say anything never join what does not belong together', () => {
  const uint8 = fc.integer({ min: 0, max: 0xff });
  const uint32 = fc.integer({ min: 0, max: 0xffffffff });
  const field = fc.oneof(
    fc.record({ sequence: uint8 }),
    fc.record({ index: uint32 }),
    fc.record({ tick: uint32.map(ticks) }),
    fc.record({ lost: fc.integer({ min: 1, max: 0xff }) }),
  );
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.nat(MESSAGES - 1), field), { minLength: 1, maxLength: 5 }),
      (changes) => {
        const messages = [...stream];
        const touched = new Set<number>();
        for (const [at, change] of changes) {
          if (messages[at]!.type !== 'samples') continue;
          const changed = { ...messages[at]!, ...change };
          if (JSON.stringify({ ...changed, values: 0 }) !== JSON.stringify({ ...messages[at], values: 0 }))
            touched.add(at);
          messages[at] = changed;
        }
        let of = 0;
        let before: number | null = null;
        const assembler = new StreamAssembler(hello, (event) => {
          if (event.kind === 'gap') before = null;
          if (event.kind !== 'run') return;
          // A block with a wrong header stands alone: a gap before it, and another before what follows.
          if (before !== null) expect([before, of].filter((n) => touched.has(n))).toEqual([]);
          before = of;
        });
        for (const [n, message] of messages.entries()) {
          of = n;
          assembler.message(message);
        }
      },
    ),
    { seed: 23, numRuns: 100 },
  );
});
