/**
 * Frames on the line: COBS(content, CRC-16 little endian) and a zero byte as delimiter. Knows neither
 * ports nor messages.
 *
 * COBS: S. Cheshire and M. Baker, "Consistent Overhead Byte Stuffing", IEEE/ACM Transactions on
 * Networking 7(2), 1999. CRC: CRC-16/X-25 (ISO/IEC 13239), polynomial 1021 reflected, start FFFF, final
 * inversion. The inversion matters here: without it a byte 01 slipped in before the delimiter decodes
 * as an extra zero and leaves the remainder of the CRC unchanged.
 */

/** Longest frame from the board, encoded, delimiter not counted: a full sample block (13 + 128 + 2, and 1 for COBS). */
export const LONGEST_MESSAGE_FRAME = 144;
/** Longest frame to the board, encoded, delimiter not counted. */
export const LONGEST_COMMAND_FRAME = 15;

export type FrameFault =
  | 'length' // longer than any frame of this direction
  | 'coding' // a COBS code points behind the delimiter
  | 'crc';

/**
 * Remainder tables for the byte now (0), and for bytes with one, two and three more behind them: four bytes
 * are then one step, which shortens the chain of dependent loads.
 */
const remainders = Array.from({ length: 4 }, () => new Uint16Array(256));
for (let byte = 0; byte < 256; byte++) {
  let crc = byte;
  for (let step = 0; step < 32; step++) {
    crc = crc & 1 ? (crc >>> 1) ^ 0x8408 : crc >>> 1;
    if (step % 8 === 7) remainders[step >> 3]![byte] = crc;
  }
}
const [after0, after1, after2, after3] = remainders as [Uint16Array, Uint16Array, Uint16Array, Uint16Array];

/** The register after `bytes[from]` to `bytes[to − 1]`, before the final inversion. */
function crcRegister(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0xffff;
  let at = from;
  for (const whole = to - 3; at < whole; at += 4) {
    crc =
      after3[(crc ^ bytes[at]!) & 0xff]! ^
      after2[(crc >>> 8) ^ bytes[at + 1]!]! ^
      after1[bytes[at + 2]!]! ^
      after0[bytes[at + 3]!]!;
  }
  for (; at < to; at++) crc = (crc >>> 8) ^ after0[(crc ^ bytes[at]!) & 0xff]!;
  return crc;
}

/** What the register holds after content and its own CRC, whatever the content (ISO/IEC 13239). */
const REGISTER_OF_WHOLE_FRAME = 0xf0b8;

/** CRC-16/X-25 of `bytes`. */
export const crc16 = (bytes: Uint8Array): number => crcRegister(bytes, 0, bytes.length) ^ 0xffff;

/** COBS of `content`, delimiter included. Any length, also none. */
export function cobsEncode(content: Uint8Array): Uint8Array {
  const encoded = new Uint8Array(content.length + Math.ceil((content.length + 1) / 254) + 1);
  let codeAt = 0;
  let at = 1;
  for (let index = 0; index < content.length; index++) {
    const byte = content[index]!;
    if (byte !== 0) encoded[at++] = byte;
    const full = at - codeAt === 255;
    // A full run stands for no zero, and at the very end it needs no run behind it.
    if (byte === 0 || (full && index + 1 < content.length)) {
      encoded[codeAt] = at - codeAt;
      codeAt = at++;
    }
  }
  encoded[codeAt] = at - codeAt;
  return encoded.slice(0, at + 1);
}

/**
 * Undoes COBS for `source[from]` to `source[to − 1]`, which holds no zero (the delimiter is left out), into
 * `target[targetFrom]` and on. Returns the index after the last byte written, or −1 if a code points beyond
 * `to`. `target` must have room for `to − from` bytes.
 */
export function cobsDecode(
  source: Uint8Array,
  from: number,
  to: number,
  target: Uint8Array,
  targetFrom: number,
): number {
  let written = targetFrom;
  let at = from;
  while (at < to) {
    const code = source[at++]!;
    const end = at + code - 1;
    if (end > to) return -1;
    while (at < end) target[written++] = source[at++]!;
    if (code < 255 && at < to) target[written++] = 0;
  }
  return written;
}

/** A whole frame, delimiter included, around `content` (type byte and body). */
export function encodeFrame(content: Uint8Array): Uint8Array {
  const crc = crc16(content);
  const checked = new Uint8Array(content.length + 2);
  checked.set(content);
  checked[content.length] = crc & 0xff;
  checked[content.length + 1] = crc >>> 8;
  return cobsEncode(checked);
}

/** Contents are laid side by side in buffers of this size: one buffer for each frame would be far slower. */
const CONTENT_BUFFER_BYTES = 1 << 15;

/**
 * Finds frames in a stream that arrives in pieces of any size. Make a new one for each session: what is
 * left of an old session must not be taken for the start of a new one's first frame.
 *
 * Whatever lies between two zeros is one candidate and is judged alone, so damage never reaches past the next
 * zero. What runs longer than the longest frame is reported at once, without waiting for its end.
 */
export class FrameDecoder {
  readonly #longest: number;
  /** The start of a frame whose end is still to come. */
  readonly #held: Uint8Array;
  #heldLength = 0;
  #contents = new Uint8Array(0);
  #contentsUsed = 0;
  /** Too long already: nothing counts until the next delimiter. */
  #skipping = false;

  /** `longest`: encoded length of the longest permitted frame, delimiter not counted. */
  constructor(longest: number) {
    this.#longest = longest;
    this.#held = new Uint8Array(longest);
  }

  /**
   * `frame` gets type byte and body, never to be overwritten. `fault` gets the cause and the number of encoded
   * bytes thrown away; for 'length' these are counted up to the byte that was one too many. Two delimiters in a
   * row are no frame and no fault. `delimiter` is told of each delimiter, after what it ended.
   */
  push(
    chunk: Uint8Array,
    frame: (content: Uint8Array) => void,
    fault: (cause: FrameFault, bytes: number) => void,
    delimiter?: () => void,
  ): void {
    let from = 0;
    for (let end = chunk.indexOf(0); end >= 0; end = chunk.indexOf(0, from)) {
      if (this.#heldLength === 0 && !this.#skipping) {
        this.#judge(chunk, from, end, frame, fault);
      } else {
        this.#hold(chunk, from, end, fault);
        if (!this.#skipping) this.#judge(this.#held, 0, this.#heldLength, frame, fault);
        this.#heldLength = 0;
        this.#skipping = false;
      }
      delimiter?.();
      from = end + 1;
    }
    this.#hold(chunk, from, chunk.length, fault);
  }

  #hold(
    chunk: Uint8Array,
    from: number,
    to: number,
    fault: (cause: FrameFault, bytes: number) => void,
  ): void {
    if (this.#skipping || from === to) return;
    if (this.#heldLength + to - from > this.#longest) {
      this.#skipping = true;
      fault('length', this.#longest + 1);
      return;
    }
    this.#held.set(chunk.subarray(from, to), this.#heldLength);
    this.#heldLength += to - from;
  }

  #judge(
    source: Uint8Array,
    from: number,
    to: number,
    frame: (content: Uint8Array) => void,
    fault: (cause: FrameFault, bytes: number) => void,
  ): void {
    const encoded = to - from;
    if (encoded === 0) return;
    if (encoded > this.#longest) {
      fault('length', this.#longest + 1);
      return;
    }
    if (this.#contentsUsed + encoded > this.#contents.length) {
      this.#contents = new Uint8Array(CONTENT_BUFFER_BYTES);
      this.#contentsUsed = 0;
    }
    const contents = this.#contents;
    const start = this.#contentsUsed;
    const end = cobsDecode(source, from, to, contents, start);
    if (end < 0) {
      fault('coding', encoded);
    } else if (end - start < 3 || crcRegister(contents, start, end) !== REGISTER_OF_WHOLE_FRAME) {
      fault('crc', encoded);
    } else {
      this.#contentsUsed = end;
      frame(contents.subarray(start, end - 2));
    }
  }
}
