/**
 * What a line, a converter or a driver may do to the board's frames. Each kind gets the frames of a sound series
 * (delimiters included) and the number of the one it is done to, and gives what comes instead.
 */
import { cobsEncode, crc16 } from '../../firmware-protocol/frames.ts';

export type Random = () => number;

export interface Damaged {
  readonly bytes: Uint8Array;
  /** How many frames of the series it takes the place of. */
  readonly frames: number;
}

type Damage = (frames: readonly Uint8Array[], at: number, random: Random) => Damaged;

const below = (limit: number, random: Random) => Math.floor(random() * limit);
const byte = (random: Random) => below(256, random);
const randomBytes = (count: number, random: Random) => Uint8Array.from({ length: count }, () => byte(random));

/** A damage within one frame; the delimiter at its end may be hit as well. */
const within =
  (change: (frame: Uint8Array, random: Random) => Uint8Array): Damage =>
  (frames, at, random) => ({ bytes: change(frames[at]!, random), frames: 1 });

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

/** `remove` bytes at a place give way to `insert`. */
function spliced(frame: Uint8Array, at: number, remove: number, insert: Uint8Array): Uint8Array {
  return joined(frame.subarray(0, at), insert, frame.subarray(at + remove));
}

function flipped(count: number) {
  return within((frame, random) => {
    const changed = frame.slice();
    for (let i = 0; i < count; i++) changed[below(frame.length, random)]! ^= 1 << below(8, random);
    return changed;
  });
}

/** Bytes of the content that come before the values of a sample block. */
const HEADER = 13;

/** Content damaged before it was framed: COBS is in order, only the CRC can tell. `from` to `to` of the content. */
function content(part: 'header' | 'values' | 'all') {
  return within((frame, random) => {
    const inside = uncoded(frame);
    const body = inside.length - 2;
    const from = part === 'values' ? Math.min(HEADER, body - 1) : 0;
    const to = part === 'header' ? Math.min(HEADER, body) : body;
    const count = part === 'all' ? to : 1 + below(Math.min(8, to - from), random);
    for (let i = 0; i < count; i++)
      inside[part === 'all' ? i : from + below(to - from, random)] = byte(random);
    return cobsEncode(inside);
  });
}

/** Of a sound frame, delimiter included: type, body, CRC. */
function uncoded(frame: Uint8Array): Uint8Array {
  const inside = new Uint8Array(frame.length - 2);
  // Frames are shorter than 254 bytes: each code stands for a zero, but for the last one behind the end.
  let code = frame[0]!;
  for (let at = 1; at < frame.length - 1; at++) {
    if (--code === 0) code = frame[at]!;
    else inside[at - 1] = frame[at]!;
  }
  return inside;
}

/** How far back an old frame is taken from: 256 back it has the very sequence number that is due. */
function older(at: number, random: Random): number {
  const far = random() < 0.5 ? 256 : 1 + below(1000, random);
  return Math.max(0, at - far);
}

/** Bytes are damaged: what comes is not what the board sent. */
export const DAMAGED_BYTES: Readonly<Record<string, Damage>> = {
  'one to three bits flipped': (frames, at, random) => flipped(1 + below(3, random))(frames, at, random),
  'four to twenty bits flipped': (frames, at, random) => flipped(4 + below(17, random))(frames, at, random),
  'a burst of up to 40 bytes': within((frame, random) => {
    const length = 2 + below(39, random);
    return spliced(frame, below(frame.length, random), length, randomBytes(length, random)).slice(
      0,
      frame.length,
    );
  }),
  'up to 20 bytes lost': within((frame, random) =>
    spliced(frame, below(frame.length, random), 1 + below(20, random), new Uint8Array()),
  ),
  'up to 8 bytes put in': within((frame, random) =>
    spliced(frame, below(frame.length, random), 0, randomBytes(1 + below(8, random), random)),
  ),
  'a byte doubled': within((frame, random) => {
    const at = below(frame.length, random);
    return spliced(frame, at, 0, frame.subarray(at, at + 1));
  }),
  'a byte lost and one put in elsewhere': within((frame, random) => {
    const less = spliced(frame, below(frame.length - 1, random), 1, new Uint8Array());
    return spliced(less, below(less.length, random), 0, randomBytes(1, random));
  }),
  'two bytes exchanged': within((frame, random) => {
    const changed = frame.slice();
    const [one, other] = [below(frame.length - 1, random), below(frame.length - 1, random)];
    [changed[one], changed[other]] = [frame[other]!, frame[one]!];
    return changed;
  }),
  'two stretches exchanged': within((frame, random) => {
    const cuts = [0, 1, 2].map(() => below(frame.length, random)).sort((a, b) => a - b) as [
      number,
      number,
      number,
    ];
    return joined(
      frame.subarray(0, cuts[0]),
      frame.subarray(cuts[1], cuts[2]),
      frame.subarray(cuts[0], cuts[1]),
      frame.subarray(cuts[2]),
    );
  }),
  'cut off, the delimiter stands': within((frame, random) => {
    const left = below(frame.length - 1, random);
    return spliced(frame, left, frame.length - 1 - left, new Uint8Array());
  }),
  'its beginning lost': within((frame, random) => frame.subarray(1 + below(frame.length - 1, random))),
  'joined with the next': within((frame, random) => frame.subarray(0, frame.length - 1 - below(3, random))),
  'joined with an older one in its middle': (frames, at, random) => {
    const [own, old] = [frames[at]!, frames[older(at, random)]!];
    const place = 7 + below(own.length - 8, random); // its number and index are no longer the older one's
    return {
      bytes: joined(own.subarray(0, place), old.subarray(Math.min(place, old.length - 1))),
      frames: 1,
    };
  },
  'random bytes of its length': within((frame, random) =>
    joined(randomBytes(frame.length - 1, random), Uint8Array.of(0)),
  ),
  'random bytes without a zero': within((frame, random) =>
    joined(
      Uint8Array.from({ length: frame.length - 1 }, () => 1 + below(255, random)),
      Uint8Array.of(0),
    ),
  ),
  'random content in good coding': content('all'),
  'header changed in good coding': content('header'),
  'values changed in good coding': content('values'),
};

/** Whole frames out of place: each passes its CRC by right. */
export const MISPLACED_FRAMES: Readonly<Record<string, Damage>> = {
  'frames lost': (_, __, random) => ({
    bytes: new Uint8Array(),
    frames: random() < 0.5 ? 1 : [2, 255, 256, 512][below(4, random)]!,
  }),
  'a frame doubled': (frames, at) => ({ bytes: joined(frames[at]!, frames[at]!), frames: 1 }),
  'two frames in the wrong order': (frames, at) => ({
    bytes: at + 1 < frames.length ? joined(frames[at + 1]!, frames[at]!) : new Uint8Array(),
    frames: 2,
  }),
  'an older frame instead': (frames, at, random) => ({ bytes: frames[older(at, random)]!, frames: 1 }),
  'an older frame besides': (frames, at, random) => ({
    bytes: joined(frames[older(at, random)]!, frames[at]!),
    frames: 1,
  }),
  'a frame of a foreign device with a good CRC': (_, __, random) => ({
    bytes: withCrc(randomBytes(2 + below(139, random), random)),
    frames: 1,
  }),
};

function withCrc(inside: Uint8Array): Uint8Array {
  const crc = crc16(inside);
  return cobsEncode(joined(inside, Uint8Array.of(crc & 0xff, crc >>> 8)));
}
