import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  decodeRecording,
  encodeRecording,
  type Recording,
  RecordingBuffer,
  RecordingError,
} from '../../app/link/recording.ts';
import { ReplayPort } from '../../app/link/replay-port.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import type { Hello, Message } from '../../firmware-protocol/messages.ts';
import { hello } from './fake-port.ts';

const header = { saved: '2026-01-02T03:04:05Z', hello };

describe('a recording', () => {
  it('comes back as it was saved, bytes and arrival times', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ at: fc.double({ noNaN: true }), bytes: fc.uint8Array() })),
        (chunks) => {
          expect(decodeRecording(encodeRecording({ header, chunks }))).toEqual({ header, chunks });
        },
      ),
      { seed: 20261125, numRuns: 100 },
    );
  });

  it('takes a file of raw bytes as one chunk', () => {
    const bytes = Uint8Array.from([1, 2, 0, 10, 3]);
    expect(decodeRecording(bytes)).toEqual({
      header: { saved: '', hello: null },
      chunks: [{ at: 0, bytes }],
    });
  });

  it('refuses what is empty, cut off, of another version, or without a readable header', () => {
    const file = encodeRecording({ header, chunks: [{ at: 1, bytes: new Uint8Array(20) }] });
    const text = (words: string) => new TextEncoder().encode(words);
    expect(() => decodeRecording(new Uint8Array())).toThrow(RecordingError);
    expect(() => decodeRecording(file.subarray(0, file.length - 3))).toThrow(/cut off or damaged at byte/);
    expect(() => decodeRecording(text('leafclock recording 9\n{}\n'))).toThrow(/reads only/);
    expect(() => decodeRecording(text('leafclock recording 1\nnonsense\n'))).toThrow(
      /header .* can't be read/,
    );
    expect(() => decodeRecording(text('leafclock recording 1\n{}'))).toThrow(/header .* cut off/);
    const half = encodeRecording({ header: { ...header, hello: { ...hello, bits: -8 } }, chunks: [] });
    expect(() => decodeRecording(half)).toThrow(/introduction is incomplete/);
  });

  it('gives what could be read of a file that was cut off', () => {
    const chunks = [1, 2].map((at) => ({ at, bytes: Uint8Array.from([at, 0, at, 0]) }));
    const file = encodeRecording({ header, chunks });
    for (let length = file.length - 15; length < file.length; length++) {
      let error: unknown;
      try {
        decodeRecording(file.subarray(0, length));
      } catch (thrown) {
        error = thrown;
      }
      const { readable } = error as RecordingError;
      expect(readable!.header).toEqual(header);
      const bytes = readable!.chunks.flatMap((chunk) => [...chunk.bytes]);
      expect(bytes).toEqual([1, 0, 1, 0, 2, 0, 2, 0].slice(0, Math.max(4, length - file.length + 8)));
    }
  });

  it('plays with the introduction of its header, or of its bytes, or an assumed one', async () => {
    const edges: Hello = { ...hello, kind: 'edges', tickHz: 250_000, ticksPerConversion: 0, bits: 0 };
    const raw = [Uint8Array.from([9, 9, 0]), encodeMessage(edges)].map((bytes) => ({ at: 0, bytes }));
    const bare = { saved: '', hello: null };
    const says = async (recording: Recording) => {
      const port = new ReplayPort(recording);
      await port.open();
      const read = await port.read();
      const heard: Message[] = [];
      if (read.kind === 'bytes')
        new MessageReader().push(
          read.bytes,
          (message) => heard.push(message),
          () => {},
        );
      return heard;
    };
    expect(await says({ header, chunks: raw })).toEqual([hello]);
    expect(await says({ header: bare, chunks: raw })).toEqual([edges]);
    expect(await says({ header: bare, chunks: raw.slice(0, 1) })).toMatchObject([
      { kind: 'samples', tickHz: 2_000_000, board: 'not stated' },
    ]);
  });
});

describe('a recording that is played', () => {
  it('hands on arrivals as far apart as they were recorded, whenever the page takes them', async () => {
    const ats = [500.25, 500.5, 503.125, 512];
    const port = new ReplayPort({
      header,
      chunks: ats.map((at) => ({ at, bytes: Uint8Array.from([1, 0]) })),
    });
    await port.open();
    await port.read();
    const played: number[] = [];
    for (let read = await port.read(); read.kind === 'bytes'; read = await port.read()) played.push(read.at);
    expect(played.map((at) => Number((at - played[0]!).toFixed(6)))).toEqual([0, 0.25, 2.875, 11.75]);
  });
});

describe('the buffer of the last minutes', () => {
  it('drops the oldest chunks beyond its limit and keeps copies', () => {
    const buffer = new RecordingBuffer(10);
    const bytes = Uint8Array.from([1, 2, 3, 4]);
    for (let i = 0; i < 5; i++) buffer.add(bytes, i);
    bytes.fill(9);
    const { chunks } = buffer.toRecording(header);
    expect(chunks.map((c) => c.at)).toEqual([3, 4]);
    expect(chunks[0]!.bytes).toEqual(Uint8Array.from([1, 2, 3, 4]));
  });
});
