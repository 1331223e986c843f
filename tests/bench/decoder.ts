/**
 * How fast bytes become messages (delimiters, COBS, CRC, fields), in MB/s of bytes on the line. Beside it, over
 * the same bytes: a loop that merely reads each byte, and the package `cobs`, which checks no CRC and makes no
 * messages, and is given its frames ready cut.
 */
import cobs from 'cobs';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Figure } from './figure.ts';
import { median, rounded, takeTurns } from './rounds.ts';
import { type SampleStream, sampleStream } from './sample-stream.ts';

const STREAM_SECONDS = 50;
const ROUNDS = 25;

export async function measureDecoder(): Promise<readonly Figure[]> {
  const stream = sampleStream(STREAM_SECONDS);
  const cut = stream.frames.map((frame) => Buffer.from(frame.subarray(0, -1)));
  // What a read gives when the page keeps up, when it was held up for a tenth of a second, and a recording.
  const small = chunked(stream.bytes, 256);
  const usual = chunked(stream.bytes, 4096);
  const times = takeTurns(
    {
      'chunks of 256 B': () => decode(small, stream),
      package: () => decodeByPackage(cut, stream),
      'chunks of 4 KiB': () => decode(usual, stream),
      loop: () => readEachByte(usual, stream),
      'one chunk': () => decode([stream.bytes], stream),
    },
    ROUNDS,
  );
  const speed = (time: number) => stream.bytes.length / time / 1e3;
  const speeds = (of: readonly number[]) =>
    `median ${rounded(speed(median(of)))} MB/s, best ${rounded(speed(Math.min(...of)))}`;
  /** Round by round, so that both saw the same machine. */
  const ratio = (one: readonly number[], other: readonly number[]) =>
    median(other.map((time, round) => time / one[round]!));

  return (['chunks of 256 B', 'chunks of 4 KiB', 'one chunk'] as const).flatMap((name): Figure[] => [
    {
      quantity: `decoder, ${name}`,
      value: speed(median(times[name])),
      unit: 'MB/s',
      expectation: { least: 150 },
      detail: `best ${rounded(speed(Math.min(...times[name])))} MB/s`,
    },
    {
      quantity: `decoder ÷ package cobs, ${name}`,
      value: ratio(times[name], times.package),
      unit: '×',
      expectation: { least: 1 },
      detail: `package: ${speeds(times.package)}`,
    },
    {
      quantity: `decoder ÷ bare loop, ${name}`,
      value: ratio(times[name], times.loop),
      unit: '×',
      expectation: null,
      detail: `loop: ${speeds(times.loop)}`,
    },
  ]);
}

function chunked(bytes: Uint8Array, size: number): Uint8Array[] {
  const chunks: Uint8Array[] = [];
  for (let at = 0; at < bytes.length; at += size) chunks.push(bytes.slice(at, at + size));
  return chunks;
}

function decode(chunks: readonly Uint8Array[], { frames, samples }: SampleStream): void {
  const reader = new MessageReader();
  let seen = 0;
  for (const chunk of chunks) {
    reader.push(
      chunk,
      (message) => {
        if (message.type === 'samples') seen += message.values.length;
      },
      ({ cause }) => {
        throw new Error(`The decoder found damage (${cause}) in a sound stream`);
      },
    );
  }
  if (seen !== samples || reader.counts.messages !== frames.length) {
    throw new Error(`The decoder made ${reader.counts.messages} messages of ${frames.length} frames`);
  }
}

function decodeByPackage(frames: readonly Buffer[], { bytes }: SampleStream): void {
  let length = 0;
  for (const frame of frames) length += cobs.decode(frame).length;
  // A frame shorter than 254 bytes grows by COBS's code and the delimiter.
  if (length !== bytes.length - 2 * frames.length) throw new Error(`The package decoded ${length} bytes`);
}

function readEachByte(chunks: readonly Uint8Array[], { bytes }: SampleStream): void {
  let sum = 0;
  let length = 0;
  for (const chunk of chunks) {
    for (let at = 0; at < chunk.length; at++) sum = (sum + chunk[at]!) | 0;
    length += chunk.length;
  }
  if (length !== bytes.length || sum === 0) throw new Error(`The loop read ${length} bytes`);
}
