import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  cobsDecode,
  cobsEncode,
  crc16,
  encodeFrame,
  FrameDecoder,
  LONGEST_COMMAND_FRAME,
  LONGEST_MESSAGE_FRAME,
} from '../../firmware-protocol/frames.ts';
import { seededRandom } from '../seeded-random.ts';
import { fromHex, toHex } from './hex.ts';

const range = (from: number, to: number) => Uint8Array.from({ length: to - from + 1 }, (_, i) => from + i);

/** COBS undone without its delimiter, or null if the coding is wrong. */
function uncoded(encoded: Uint8Array): Uint8Array | null {
  const target = new Uint8Array(encoded.length);
  const end = cobsDecode(encoded, 0, encoded.length - 1, target, 0);
  return end < 0 ? null : target.slice(0, end);
}

/** Everything a decoder tells about `chunks`, in order. */
function decoded(chunks: Iterable<Uint8Array>, longest: number): string[] {
  const told: string[] = [];
  const decoder = new FrameDecoder(longest);
  for (const chunk of chunks) {
    decoder.push(
      chunk,
      (content) => told.push(toHex(content)),
      (cause, bytes) => told.push(`${cause} ${bytes}`),
    );
  }
  return told;
}

describe('CRC-16/X-25', () => {
  it('has the check value of the CRC catalogue: "123456789" gives 906E', () => {
    // G. Cook, Catalogue of parametrised CRC algorithms, entry CRC-16/IBM-SDLC (alias X-25).
    expect(crc16(new TextEncoder().encode('123456789'))).toBe(0x906e);
  });

  it('equals the definition, bit by bit, for any bytes', () => {
    const bitwise = (bytes: Uint8Array) => {
      let crc = 0xffff;
      for (const byte of bytes) {
        for (let bit = 0; bit < 8; bit++) {
          const feedback = (crc ^ (byte >> bit)) & 1;
          crc = (crc >> 1) ^ (feedback ? 0x8408 : 0);
        }
      }
      return crc ^ 0xffff;
    };
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => crc16(bytes) === bitwise(bytes)),
      { seed: 1, numRuns: 300 },
    );
  });
});

describe('COBS', () => {
  // Cheshire and Baker 1999, and the worked examples published with it; delimiter included.
  const published: [name: string, plain: Uint8Array, encoded: Uint8Array][] = [
    ['one zero', fromHex('00'), fromHex('010100')],
    ['zero inside', fromHex('11220033'), fromHex('031122023300')],
    ['zeros at the end', fromHex('11000000'), fromHex('021101010100')],
    ['254 bytes without zero', range(1, 0xfe), Uint8Array.from([0xff, ...range(1, 0xfe), 0])],
    [
      '254 bytes, then zero (the trap)',
      Uint8Array.from([...range(2, 0xff), 0]),
      Uint8Array.from([0xff, ...range(2, 0xff), 1, 1, 0]),
    ],
    ['start of an IP header', fromHex('4500002c4c79000040064f37'), fromHex('024501042c4c79010540064f3700')],
  ];
  for (const [name, plain, encoded] of published) {
    it(`codes and undoes the published example: ${name}`, () => {
      expect(toHex(cobsEncode(plain))).toBe(toHex(encoded));
      expect(toHex(uncoded(encoded)!)).toBe(toHex(plain));
    });
  }

  it('comes back for any bytes of any length, and has no zero but the delimiter', () => {
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 600 }),
      fc.array(fc.constantFrom(0, 1, 255), { maxLength: 1100 }).map((list) => Uint8Array.from(list)),
      fc.nat(1100).map((length) => new Uint8Array(length).fill(7)),
    );
    fc.assert(
      fc.property(bytes, (plain) => {
        const encoded = cobsEncode(plain);
        expect(encoded.indexOf(0)).toBe(encoded.length - 1);
        expect(encoded.length).toBeLessThanOrEqual(plain.length + Math.ceil((plain.length + 1) / 254) + 1);
        expect(toHex(uncoded(encoded)!)).toBe(toHex(plain));
      }),
      { seed: 2, numRuns: 400 },
    );
  });

  it('refuses a code that points behind the end', () => {
    expect(uncoded(fromHex('0511223300'))).toBeNull();
  });
});

describe('frame decoder', () => {
  const good = encodeFrame(fromHex('0501110100'));

  it('gives what was framed', () => {
    expect(decoded([good], LONGEST_MESSAGE_FRAME)).toEqual(['0501110100']);
  });

  it('takes no frame that a byte 01 was slipped into before the delimiter', () => {
    // Without the final inversion of the CRC such a frame passes: the byte decodes as one zero more.
    const random = seededRandom(3);
    for (let trial = 0; trial < 1000; trial++) {
      const content = Uint8Array.from({ length: 3 + Math.floor(random() * 130) }, () => random() * 256);
      const frame = encodeFrame(content);
      const damaged = Uint8Array.from([...frame.slice(0, -1), 1, 0]);
      expect(decoded([damaged], LONGEST_MESSAGE_FRAME)[0]).toMatch(/^(crc|length) /);
    }
  });

  it('reports a frame that is too long at once, and only once, and takes the next', () => {
    const decoder = new FrameDecoder(LONGEST_COMMAND_FRAME);
    const told: string[] = [];
    const push = (bytes: Uint8Array) =>
      decoder.push(
        bytes,
        (content) => told.push(toHex(content)),
        (cause, bytes) => told.push(`${cause} ${bytes}`),
      );
    push(new Uint8Array(15).fill(0x11));
    expect(told).toEqual([]);
    push(new Uint8Array(1).fill(0x11));
    expect(told).toEqual(['length 16']);
    push(new Uint8Array(500).fill(0x11));
    push(Uint8Array.from([0, ...good]));
    expect(told).toEqual(['length 16', '0501110100']);
  });

  it('says the same however the bytes are cut', () => {
    const random = seededRandom(4);
    const stream: number[] = [];
    for (let frame = 0; frame < 400; frame++) {
      const content = Uint8Array.from({ length: 1 + random() * 141 }, () =>
        random() < 0.2 ? 0 : random() * 256,
      );
      const bytes = [...encodeFrame(content)];
      if (random() < 0.3) bytes.splice(random() * bytes.length, random() < 0.5 ? 1 : 0, random() * 256);
      if (random() < 0.05) bytes.pop();
      stream.push(...bytes);
    }
    const all = Uint8Array.from(stream);
    const whole = decoded([all], LONGEST_MESSAGE_FRAME);
    expect(whole.filter((line) => line.includes(' ')).length).toBeGreaterThan(50);
    expect(whole.filter((line) => !line.includes(' ')).length).toBeGreaterThan(200);
    const cut = fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(cut, (lengths) => {
        const chunks: Uint8Array[] = [];
        for (let from = 0, piece = 0; from < all.length; piece++) {
          const length = lengths[piece % lengths.length]!;
          chunks.push(all.subarray(from, from + length));
          from += length;
        }
        expect(decoded(chunks, LONGEST_MESSAGE_FRAME)).toEqual(whole);
      }),
      { seed: 5, numRuns: 60 },
    );
  });

  it('loses no more than the frames that damage touches', () => {
    const random = seededRandom(6);
    for (let trial = 0; trial < 2000; trial++) {
      const contents = Array.from({ length: 5 }, () =>
        Uint8Array.from({ length: 3 + random() * 100 }, () => random() * 256),
      );
      const frames = contents.map(encodeFrame);
      const bytes = [...frames[2]!];
      const at = Math.floor(random() * bytes.length);
      const kind = Math.floor(random() * 4);
      if (kind === 0) bytes[at]! ^= 1 << Math.floor(random() * 8);
      if (kind === 1) bytes.splice(at, 1);
      if (kind === 2) bytes.splice(at, 0, bytes[at]!);
      if (kind === 3) bytes.splice(at, 0, Math.floor(random() * 256));
      const stream = Uint8Array.from([...frames[0]!, ...frames[1]!, ...bytes, ...frames[3]!, ...frames[4]!]);
      const told = decoded([stream], LONGEST_MESSAGE_FRAME);
      const taken = told.filter((line) => !line.includes(' '));
      // A lost delimiter costs the frame behind it as well; nothing ever costs more.
      for (const sure of [0, 1, 4]) expect(taken).toContain(toHex(contents[sure]!));
      // What was taken is what was sent, in order: nothing new came into being.
      const sent = contents.map(toHex);
      expect(taken).toEqual(sent.filter((content) => taken.includes(content)));
      // A zero doubled or slipped in after a delimiter is an empty frame and no damage.
      if (taken.length < 5) expect(told.length).toBeGreaterThan(taken.length);
    }
  });
});
