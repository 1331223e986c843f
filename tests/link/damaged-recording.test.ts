/** Files of recordings as disks and strangers leave them: read, refused with a sentence, or read as far as they go. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { ClockCheck } from '../../app/link/clock-check.ts';
import {
  decodeRecording,
  encodeRecording,
  type Recording,
  RecordingError,
} from '../../app/link/recording.ts';
import { introductionOf, ReplayPort } from '../../app/link/replay-port.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { hello } from './fake-port.ts';

const good = encodeRecording({
  header: { saved: '2026-01-02T03:04:05Z', hello },
  chunks: Array.from({ length: 6 }, (_, n) => ({
    at: 1000 + 3 * n,
    bytes: Uint8Array.from({ length: 40 }, (_, i) => (i * 37 + n) % 256),
  })),
});
const linesEnd = good.indexOf(10, good.indexOf(10) + 1) + 1;

/** What can be had of a file; never anything but a recording or a sentence. */
function readable(file: Uint8Array): Recording | null {
  try {
    return decodeRecording(file);
  } catch (error) {
    if (!(error instanceof RecordingError)) throw error;
    expect(error.message).toMatch(/^[A-Z].*\.$/s);
    return error.readable;
  }
}

/** Every byte of a chunk stands in the file, in the file's order, and none twice. */
function expectFromFile({ chunks }: Recording, file: Uint8Array): void {
  let at = file.byteOffset;
  for (const { bytes } of chunks) {
    expect(bytes.buffer).toBe(file.buffer);
    expect(bytes.byteOffset).toBeGreaterThanOrEqual(at);
    at = bytes.byteOffset + bytes.length;
  }
  expect(at).toBeLessThanOrEqual(file.byteOffset + file.length);
}

it('any bytes, with and without the first lines of a recording', () => {
  const beginning = fc.constantFrom(
    new Uint8Array(),
    good.subarray(0, 10),
    good.subarray(0, good.indexOf(10) + 1),
    good.subarray(0, linesEnd),
    new TextEncoder().encode('leafclock recording 1\n{"hello":null}\n'),
  );
  fc.assert(
    fc.property(beginning, fc.uint8Array({ maxLength: 400 }), (first, rest) => {
      const file = Uint8Array.of(...first, ...rest);
      const recording = readable(file);
      if (recording === null) return;
      expectFromFile(recording, file);
      expect(introductionOf(recording).hello.tickHz).toBeGreaterThan(0);
    }),
    { seed: 30, numRuns: 1000 },
  );
});

it('a good file with bytes changed, lost, put in or cut off', () => {
  const damage = fc.tuple(
    fc.constantFrom('set', 'cut', 'drop', 'insert'),
    fc.nat(good.length - 1),
    fc.nat(255),
    fc.integer({ min: 1, max: 60 }),
  );
  let read = 0;
  let refused = 0;
  fc.assert(
    fc.property(fc.array(damage, { minLength: 1, maxLength: 3 }), (damages) => {
      let bytes = [...good];
      for (const [how, at, value, length] of damages) {
        if (how === 'set') bytes[at % bytes.length] = value;
        else if (how === 'cut') bytes = bytes.slice(0, Math.max(1, at));
        else if (how === 'drop') bytes.splice(at, length);
        else bytes.splice(at, 0, value);
      }
      if (bytes.length === 0) return;
      const file = Uint8Array.from(bytes);
      const recording = readable(file);
      if (recording === null) refused++;
      else {
        read++;
        expectFromFile(recording, file);
      }
    }),
    { seed: 31, numRuns: 1000 },
  );
  expect(read).toBeGreaterThan(100);
  expect(refused).toBeGreaterThan(100);
});

it('plays arrivals of any kind to the end, as times that go forward', async () => {
  const time = fc.oneof(
    fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -0, 5e-324),
    fc.double({ max: -1e-300, noNaN: true }),
    fc.double({ min: 1e8, noNaN: true }), // a day and more: never waited for
    fc.double({ min: 0, max: 3, noNaN: true }),
  );
  await fc.assert(
    fc.asyncProperty(fc.array(time, { maxLength: 6 }), async (ats) => {
      const port = new ReplayPort({
        header: { saved: '', hello },
        chunks: ats.map((at) => ({ at, bytes: Uint8Array.from([1, 0]) })),
      });
      await port.open();
      await port.read();
      const clock = new ClockCheck(hello);
      const reader = new MessageReader();
      let last = Number.NEGATIVE_INFINITY;
      let played = 0;
      for (let read = await port.read(); read.kind === 'bytes'; read = await port.read()) {
        expect(read.at).toBeGreaterThanOrEqual(last);
        expect(Number.isFinite(read.at)).toBe(true);
        last = read.at;
        played++;
        clock.add(ticks(played * 128 * 52), read.at);
        reader.push(
          read.bytes,
          () => {},
          () => {},
        );
      }
      expect(played).toBe(ats.length);
    }),
    { seed: 32, numRuns: 60 },
  );
});
