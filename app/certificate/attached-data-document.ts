/** A PDF's objects by number, found through its cross-reference tables, the latest first (ISO 32000-1, 7.5). */
import {
  damaged,
  latin1,
  PaperError,
  type PdfDictionary,
  PdfName,
  PdfReference,
  PdfScanner,
  type PdfValue,
} from './attached-data-objects.ts';

/** Updates appended to a file, each with a table of its own. */
const MOST_TABLES = 32;
const MOST_OBJECTS = 200_000;
/** The file's end says where the last table is. */
const END_LENGTH = 2048;

const SAVED_AGAIN =
  'This PDF was saved again by another program, in a form that can’t be checked here. Take the file as it was ' +
  'handed out, or save its attachment and check that.';

export class PdfDocument {
  readonly #bytes: Uint8Array;
  readonly #offsets = new Map<number, number>();
  readonly trailer: PdfDictionary;

  /** @throws PaperError */
  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
    this.trailer = this.#readTables(this.#lastTable());
    if (this.trailer.has('Encrypt')) {
      throw new PaperError(`This PDF is encrypted, which no paper of Leafclock is. ${SAVED_AGAIN}`);
    }
  }

  /** Follows a reference, once; a reference to nothing is null, as the standard has it. */
  resolve(value: PdfValue | undefined): PdfValue {
    if (!(value instanceof PdfReference)) return value ?? null;
    const scanner = this.#objectAt(value);
    return scanner === null ? null : scanner.value();
  }

  dictionary(value: PdfValue | undefined): PdfDictionary | null {
    const resolved = this.resolve(value);
    return resolved instanceof Map ? resolved : null;
  }

  list(value: PdfValue | undefined): readonly PdfValue[] {
    const resolved = this.resolve(value);
    return Array.isArray(resolved) ? resolved : [];
  }

  /**
   * The bytes of a stream as they stand in the file, and whether they are deflated.
   *
   * @throws PaperError for a stream that is damaged or packed in another way; null if it is none.
   */
  stream(value: PdfValue | undefined): { readonly bytes: Uint8Array; readonly deflated: boolean } | null {
    const scanner = value instanceof PdfReference ? this.#objectAt(value) : null;
    const head = scanner?.value();
    if (!scanner || !(head instanceof Map)) return null;
    const dictionary: PdfDictionary = head;
    if (scanner.word() !== 'stream') return null;
    let from = scanner.at;
    if (this.#bytes[from] === 13) from += 1;
    if (this.#bytes[from] !== 10) throw damaged('a stream in it has no beginning');
    from += 1;
    const length = this.resolve(dictionary.get('Length'));
    if (typeof length !== 'number' || !Number.isSafeInteger(length) || length < 0) {
      throw damaged('a stream in it has no length');
    }
    const end = new PdfScanner(this.#bytes, from + length);
    end.expect('endstream');
    return { bytes: this.#bytes.subarray(from, from + length), deflated: this.#isDeflated(dictionary) };
  }

  #isDeflated(dictionary: PdfDictionary): boolean {
    const filter = this.resolve(dictionary.get('Filter'));
    const filters = filter === null ? [] : Array.isArray(filter) ? filter : [filter];
    const [first] = filters;
    const known = first === undefined || (first instanceof PdfName && first.name === 'FlateDecode');
    if (filters.length > 1 || !known || this.resolve(dictionary.get('DecodeParms')) !== null) {
      throw new PaperError(SAVED_AGAIN);
    }
    return first !== undefined;
  }

  #objectAt({ object, generation }: PdfReference): PdfScanner | null {
    const offset = this.#offsets.get(object);
    if (offset === undefined) return null;
    const scanner = new PdfScanner(this.#bytes, offset);
    if (scanner.wholeNumber() !== object || scanner.wholeNumber() !== generation) {
      throw damaged(`object ${object} is not where it should be`);
    }
    scanner.expect('obj');
    return scanner;
  }

  #lastTable(): number {
    const from = Math.max(0, this.#bytes.length - END_LENGTH);
    const at = latin1(this.#bytes.subarray(from)).lastIndexOf('startxref');
    if (at < 0) throw damaged('its end is missing');
    const scanner = new PdfScanner(this.#bytes, from + at);
    scanner.expect('startxref');
    return scanner.wholeNumber();
  }

  /** Reads the table at `offset` and those before it; what a later one says of an object holds. */
  #readTables(offset: number): PdfDictionary {
    let latest: PdfDictionary | null = null;
    const known = new Set<number>();
    for (let next: PdfValue = offset; next !== null; ) {
      if (
        typeof next !== 'number' ||
        next >= this.#bytes.length ||
        known.has(next) ||
        known.size === MOST_TABLES
      ) {
        throw damaged('its table of objects can’t be found');
      }
      known.add(next);
      const trailer = this.#readTable(next);
      latest ??= trailer;
      next = trailer.get('Prev') ?? null;
    }
    return latest!;
  }

  #readTable(offset: number): PdfDictionary {
    const scanner = new PdfScanner(this.#bytes, offset);
    const word = scanner.word();
    if (/^\d+$/.test(word)) throw new PaperError(SAVED_AGAIN); // A cross-reference stream stands there.
    if (word !== 'xref') throw damaged('its table of objects is not where it should be');
    for (;;) {
      const first = scanner.word();
      if (first === 'trailer') break;
      if (!/^\d{1,10}$/.test(first)) throw damaged('its table of objects can’t be read');
      const count = scanner.wholeNumber();
      if (count > MOST_OBJECTS) throw damaged('its table of objects has no end');
      for (let object = Number(first); object < Number(first) + count; object++) {
        this.#takeEntry(scanner, object);
      }
    }
    const trailer = scanner.value();
    if (!(trailer instanceof Map)) throw damaged('its trailer can’t be read');
    if (trailer.has('XRefStm')) throw new PaperError(SAVED_AGAIN);
    return trailer;
  }

  #takeEntry(scanner: PdfScanner, object: number): void {
    const offset = scanner.wholeNumber();
    scanner.wholeNumber();
    const use = scanner.word();
    if (use !== 'n' && use !== 'f') throw damaged('its table of objects can’t be read');
    if (this.#freed.has(object) || this.#offsets.has(object)) return;
    if (use === 'n') this.#offsets.set(object, offset);
    else this.#freed.add(object);
  }

  readonly #freed = new Set<number>();
}
