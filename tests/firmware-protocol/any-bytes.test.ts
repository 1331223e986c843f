/** Whatever comes over the line: what the reader makes of it, against a judgement of each piece that shares no code with it. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { encodeFrame } from '../../firmware-protocol/frames.ts';
import { toHex } from './hex.ts';
import { vectors } from './vectors.ts';

/** README.md, "Line and frames": longest frame from the board, encoded, without its delimiter. */
const LONGEST = 144;
/** README.md, lengths of the types; a sample block has 13 bytes and 1 to 128 values. */
const LENGTHS: Readonly<Record<number, (length: number) => boolean>> = {
  1: (length) => length === 43,
  2: (length) => length >= 14 && length <= 141,
  3: (length) => length === 9,
  4: (length) => length === 18,
  5: (length) => length === 5,
  6: (length) => length === 11,
  7: (length) => length === 12,
};

/** COBS by its definition: each code byte says how far away the next zero is. Null: it points beyond the end. */
function uncoded(piece: readonly number[]): number[] | null {
  const content: number[] = [];
  let rest = piece;
  while (rest.length > 0) {
    const code = rest[0]!;
    if (code > rest.length) return null;
    content.push(...rest.slice(1, code));
    rest = rest.slice(code);
    if (code < 255 && rest.length > 0) content.push(0);
  }
  return content;
}

/** CRC-16/X-25 bit by bit. */
function crc(bytes: readonly number[]): number {
  let register = 0xffff;
  for (const byte of bytes)
    for (let bit = 0; bit < 8; bit++)
      register = (register >> 1) ^ (((register ^ (byte >> bit)) & 1) === 1 ? 0x8408 : 0);
  return register ^ 0xffff;
}

/** What a piece between two delimiters is: 'whole' may still hold a field that its type forbids. */
function judged(piece: readonly number[]): 'length' | 'coding' | 'crc' | 'unknown' | 'whole' {
  if (piece.length > LONGEST) return 'length';
  const content = uncoded(piece);
  if (content === null) return 'coding';
  const body = content.slice(0, -2);
  if (body.length === 0 || crc(body) !== content.at(-2)! + 256 * content.at(-1)!) return 'crc';
  if (body.length < 2) return 'length';
  const fits = LENGTHS[body[0]!];
  if (!fits) return 'unknown';
  // An introduction of another protocol version may be longer.
  if (body[0] === 1 && body.length > 43 && body[2] !== 1) return 'whole';
  return fits(body.length) ? 'whole' : 'length';
}

const frames = vectors.messages
  .filter(({ encodable }) => encodable !== false)
  .map(({ message }) => encodeMessage(message));

/** Frames sound and damaged, frames with a good CRC around anything, and anything. */
const bytes = fc
  .array(
    fc.oneof(
      fc.constantFrom(...frames),
      fc
        .tuple(fc.integer({ min: 0, max: 9 }), fc.uint8Array({ maxLength: 145 }))
        .map(([type, body]) => encodeFrame(Uint8Array.of(type, ...body))),
      fc
        .tuple(fc.constantFrom(...frames), fc.nat(), fc.nat({ max: 255 }), fc.constantFrom(0, 1, 2))
        .map(([frame, at, value, remove]) => {
          const damaged = [...frame];
          damaged.splice(at % frame.length, remove, value);
          return Uint8Array.from(damaged);
        }),
      fc.uint8Array({ maxLength: 300 }),
      fc.nat(600).map((length) => new Uint8Array(length).fill(7)),
    ),
    { maxLength: 12 },
  )
  .map((parts) => Uint8Array.from(parts.flatMap((part) => [...part])));

function told(stream: Uint8Array, cuts: readonly number[]) {
  const reader = new MessageReader();
  const lines: string[] = [];
  let widest = 0;
  const push = (chunk: Uint8Array) =>
    reader.push(
      chunk,
      (message) => {
        if (message.type === 'samples') widest = Math.max(widest, message.values.buffer.byteLength);
        lines.push(`message ${toHex(encodeMessage(message).subarray(0, -1))}`);
      },
      ({ cause }) => lines.push(cause),
      ({ code, sequence }) => lines.push(`unknown ${code} ${sequence}`),
    );
  let at = 0;
  for (const cut of cuts.toSorted((a, b) => a - b)) {
    push(stream.subarray(at, Math.max(at, cut)));
    at = Math.max(at, cut);
  }
  push(stream.subarray(at));
  return { lines, widest };
}

it('gives exactly the pieces that a separate judgement accepts, names the others, and never throws', () => {
  const counts = { whole: 0, refused: 0 };
  fc.assert(
    fc.property(bytes, fc.array(fc.nat(3000), { maxLength: 40 }), (noise, cuts) => {
      const stream = Uint8Array.of(0, ...noise); // behind a delimiter, since a beginning is judged more mildly
      const { lines, widest } = told(stream, cuts);
      const pieces: number[][] = [[]];
      for (const byte of stream) {
        if (byte === 0) pieces.push([]);
        else pieces.at(-1)!.push(byte);
      }
      // The last one has no delimiter yet: it is judged only if it has become too long.
      const ended = pieces.filter((piece, n) => piece.length > LONGEST || n < pieces.length - 1);
      const expected = ended
        .filter(({ length }) => length > 0)
        .map((piece) => ({ piece, is: judged(piece) }));
      expect(lines).toHaveLength(expected.length);
      for (const [n, { piece, is }] of expected.entries()) {
        counts[is === 'whole' ? 'whole' : 'refused']++;
        if (is === 'unknown') {
          const [code, sequence] = uncoded(piece)!;
          expect(lines[n]).toBe(`unknown ${code} ${sequence}`);
        } else if (is !== 'whole') expect(lines[n]).toBe(is);
        // What is taken is what stands in the piece, but for introductions of other versions, which may be longer.
        else if (lines[n] !== 'malformed' && uncoded(piece)![0] !== 1)
          expect(lines[n]).toBe(`message ${toHex(Uint8Array.from(piece))}`);
        else expect(lines[n]).toMatch(/^(malformed|message)/);
      }
      // One buffer holds many frames, and never more than it is made for.
      expect(widest).toBeLessThanOrEqual(1 << 15);
    }),
    { seed: 20, numRuns: 600 },
  );
  expect(counts.whole).toBeGreaterThan(300);
  expect(counts.refused).toBeGreaterThan(300);
});

it('holds no more than one frame of bytes that never end', () => {
  const reader = new MessageReader();
  const causes: string[] = [];
  const push = (chunk: Uint8Array) =>
    reader.push(
      chunk,
      () => causes.push('message'),
      ({ cause, bytes }) => causes.push(`${cause} ${bytes}`),
    );
  push(Uint8Array.of(0));
  const endless = new Uint8Array(1 << 16).fill(0xff);
  for (let i = 0; i < 400; i++) push(endless);
  // Told once, at the first byte too many; the other 26 MB are looked through for a delimiter and not kept.
  expect(causes).toEqual([`length ${LONGEST + 1}`]);
  push(Uint8Array.of(0, ...frames[0]!));
  expect(causes).toEqual([`length ${LONGEST + 1}`, 'message']);
});
