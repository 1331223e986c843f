/**
 * As much of a PDF as it takes to look up a few of its objects (ISO 32000-1, 7.2, 7.3 and 7.5): classic
 * cross-reference tables, which is what the certificate's writer makes. A PDF that another program saved again
 * in compressed object streams is refused with a sentence, as is anything damaged: nothing is guessed.
 */

/** A file that can't be checked. The message is for the user, in whole sentences. */
export class PaperError extends Error {
  override readonly name = 'PaperError';
}

export class PdfName {
  constructor(readonly name: string) {}
}

/** Bytes as the file has them, escapes resolved. */
export class PdfString {
  constructor(readonly bytes: Uint8Array) {}

  /** Text strings are UTF-16 or UTF-8 behind their marks, or PDFDocEncoding, here read as Latin-1. */
  get text(): string {
    const [first, second, third] = this.bytes;
    if (first === 0xfe && second === 0xff) return new TextDecoder('utf-16be').decode(this.bytes);
    if (first === 0xef && second === 0xbb && third === 0xbf) return new TextDecoder().decode(this.bytes);
    return latin1(this.bytes);
  }
}

export class PdfReference {
  constructor(
    readonly object: number,
    readonly generation: number,
  ) {}
}

export type PdfDictionary = ReadonlyMap<string, PdfValue>;

export type PdfValue =
  | null
  | boolean
  | number
  | PdfName
  | PdfString
  | PdfReference
  | readonly PdfValue[]
  | PdfDictionary;

const MOST_NESTING = 30;

/** Reads values from a place in the file on. */
export class PdfScanner {
  at: number;

  constructor(
    readonly bytes: Uint8Array,
    at: number,
  ) {
    this.at = at;
  }

  value(nesting = 0): PdfValue {
    if (nesting > MOST_NESTING) throw damaged('it is nested too deeply');
    this.skipSpace();
    const first = this.#byte();
    if (first === SLASH) return this.#name();
    if (first === OPEN_ROUND) return this.#literalString();
    if (first === OPEN_SQUARE) return this.#array(nesting);
    if (first === LESS)
      return this.bytes[this.at + 1] === LESS ? this.#dictionary(nesting) : this.#hexString();
    const word = this.word();
    if (word === 'null') return null;
    if (word === 'true' || word === 'false') return word === 'true';
    if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(word)) throw damaged('a value in it can’t be read');
    return this.#reference(word) ?? Number(word);
  }

  /** Everything up to white space or a delimiter. */
  word(): string {
    this.skipSpace();
    const from = this.at;
    while (this.at < this.bytes.length && isRegular(this.bytes[this.at]!)) this.at += 1;
    if (this.at - from > 64) throw damaged('a word in it is too long');
    return latin1(this.bytes.subarray(from, this.at));
  }

  /** @throws PaperError if what comes is another word. */
  expect(word: string): void {
    if (this.word() !== word) throw damaged(`“${word}” is missing where it should stand`);
  }

  wholeNumber(): number {
    const word = this.word();
    if (!/^\d{1,10}$/.test(word)) throw damaged('a number is missing where it should stand');
    return Number(word);
  }

  skipSpace(): void {
    while (this.at < this.bytes.length) {
      const byte = this.bytes[this.at]!;
      if (byte === PERCENT) {
        while (this.at < this.bytes.length && !isLineEnd(this.bytes[this.at]!)) this.at += 1;
      } else if (isSpace(byte)) {
        this.at += 1;
      } else {
        return;
      }
    }
  }

  #byte(): number {
    const byte = this.bytes[this.at];
    if (byte === undefined) throw damaged('it breaks off');
    return byte;
  }

  /** '12 0 R'; null, with nothing taken, for a number that is only one. */
  #reference(word: string): PdfReference | null {
    if (!/^\d{1,10}$/.test(word)) return null;
    const back = this.at;
    const generation = this.word();
    if (/^\d{1,5}$/.test(generation) && this.word() === 'R') {
      return new PdfReference(Number(word), Number(generation));
    }
    this.at = back;
    return null;
  }

  #name(): PdfName {
    this.at += 1;
    const from = this.at;
    while (this.at < this.bytes.length && isRegular(this.bytes[this.at]!)) this.at += 1;
    const raw = latin1(this.bytes.subarray(from, this.at));
    return new PdfName(
      raw.replace(/#([0-9A-Fa-f]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16))),
    );
  }

  #array(nesting: number): readonly PdfValue[] {
    this.at += 1;
    const items: PdfValue[] = [];
    for (;;) {
      this.skipSpace();
      if (this.#byte() === CLOSE_SQUARE) break;
      items.push(this.value(nesting + 1));
    }
    this.at += 1;
    return items;
  }

  #dictionary(nesting: number): PdfDictionary {
    this.at += 2;
    const entries = new Map<string, PdfValue>();
    for (;;) {
      this.skipSpace();
      if (this.#byte() === GREATER) break;
      if (this.#byte() !== SLASH) throw damaged('a dictionary in it can’t be read');
      const { name } = this.#name();
      entries.set(name, this.value(nesting + 1));
    }
    if (this.bytes[this.at + 1] !== GREATER) throw damaged('a dictionary in it can’t be read');
    this.at += 2;
    return entries;
  }

  #literalString(): PdfString {
    this.at += 1;
    const bytes: number[] = [];
    for (let depth = 1; ; ) {
      const byte = this.#byte();
      this.at += 1;
      if (byte === BACKSLASH) {
        this.#escape(bytes);
        continue;
      }
      if (byte === OPEN_ROUND) depth += 1;
      if (byte === CLOSE_ROUND) depth -= 1;
      if (depth === 0) return new PdfString(Uint8Array.from(bytes));
      bytes.push(byte);
    }
  }

  #escape(bytes: number[]): void {
    const byte = this.#byte();
    this.at += 1;
    if (byte >= ZERO && byte < ZERO + 8) {
      let code = byte - ZERO;
      for (let digits = 1; digits < 3; digits++) {
        const next = this.#byte();
        if (next < ZERO || next >= ZERO + 8) break;
        code = code * 8 + next - ZERO;
        this.at += 1;
      }
      bytes.push(code & 0xff);
    } else if (byte === 13) {
      if (this.#byte() === 10) this.at += 1;
    } else if (byte !== 10) {
      bytes.push(ESCAPED[String.fromCharCode(byte)] ?? byte);
    }
  }

  #hexString(): PdfString {
    const end = this.bytes.indexOf(GREATER, this.at);
    if (end < 0) throw damaged('it breaks off');
    const digits = latin1(this.bytes.subarray(this.at + 1, end)).replace(/\s/g, '');
    if (!/^[0-9A-Fa-f]*$/.test(digits)) throw damaged('a string in it can’t be read');
    this.at = end + 1;
    const pairs = digits.padEnd(digits.length + (digits.length % 2), '0').match(/../g) ?? [];
    return new PdfString(Uint8Array.from(pairs, (pair) => Number.parseInt(pair, 16)));
  }
}

export const damaged = (reason: string): PaperError =>
  new PaperError(`This PDF is damaged or was cut off: ${reason}.`);

export const latin1 = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');

const [SLASH, PERCENT, BACKSLASH, LESS, GREATER] = [0x2f, 0x25, 0x5c, 0x3c, 0x3e];
const [OPEN_ROUND, CLOSE_ROUND, OPEN_SQUARE, CLOSE_SQUARE] = [0x28, 0x29, 0x5b, 0x5d];
const ZERO = 0x30;
const ESCAPED: Readonly<Record<string, number>> = { n: 10, r: 13, t: 9, b: 8, f: 12 };

const isLineEnd = (byte: number) => byte === 10 || byte === 13;
const isSpace = (byte: number) => byte === 0 || byte === 9 || byte === 12 || byte === 32 || isLineEnd(byte);
const DELIMITERS = new Set(Array.from('()<>[]{}/%', (sign) => sign.charCodeAt(0)));
const isRegular = (byte: number) => !isSpace(byte) && !DELIMITERS.has(byte);
