import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  decodeRecording,
  encodeRecording,
  RecordingBuffer,
  RecordingError,
} from '../../app/link/recording.ts';
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
