import { encodeMessage } from '../../firmware-protocol/encode.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';

/**
 * A recording of what a board sent: a line that names the format, a line of JSON, then chunks as they
 * arrived, each with its length (u32), its arrival in ms on the page's monotonic clock (f64) and its
 * bytes; little endian. A file of nothing but raw bytes is taken as one chunk.
 */
const FIRST_LINE = 'leafclock recording 1';
const CHUNK_HEAD = 12;
/** Longest header accepted: a foreign file without line breaks must not be searched to its end. */
const HEADER_LIMIT = 4096;

export interface RecordingHeader {
  /** ISO 8601, when it was saved. */
  readonly saved: string;
  /** The board's introduction, since a recording may begin after it. */
  readonly hello: Hello | null;
}

export interface RecordedChunk {
  readonly at: number;
  readonly bytes: Uint8Array;
}

export interface Recording {
  readonly header: RecordingHeader;
  readonly chunks: readonly RecordedChunk[];
}

/** A file that is no recording, or a damaged one; the message says what is wrong. */
export class RecordingError extends Error {
  override readonly name = 'RecordingError';

  constructor(
    sentence: string,
    /** What could be read before the fault, if anything. */
    readonly readable: Recording | null = null,
  ) {
    super(sentence);
  }
}

export function encodeRecording({ header, chunks }: Recording): Uint8Array<ArrayBuffer> {
  const head = new TextEncoder().encode(`${FIRST_LINE}\n${JSON.stringify(header)}\n`);
  const size = chunks.reduce((sum, chunk) => sum + CHUNK_HEAD + chunk.bytes.length, head.length);
  const file = new Uint8Array(size);
  const view = new DataView(file.buffer);
  file.set(head);
  let at = head.length;
  for (const chunk of chunks) {
    view.setUint32(at, chunk.bytes.length, true);
    view.setFloat64(at + 4, chunk.at, true);
    file.set(chunk.bytes, at + CHUNK_HEAD);
    at += CHUNK_HEAD + chunk.bytes.length;
  }
  return file;
}

/** @throws RecordingError */
export function decodeRecording(file: Uint8Array): Recording {
  if (file.length === 0) throw new RecordingError('The file is empty.');
  const first = lineEnd(file, 0);
  const name = first === null ? '' : utf8(file.subarray(0, first));
  if (!name.startsWith('leafclock recording')) return { header: rawHeader, chunks: [{ at: 0, bytes: file }] };
  if (name !== FIRST_LINE)
    throw new RecordingError(`This is a '${name}'. This version reads only '${FIRST_LINE}'.`);
  const second = lineEnd(file, first! + 1);
  if (second === null) throw new RecordingError('The header of the recording is cut off.');
  const header = readHeader(utf8(file.subarray(first! + 1, second)));
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const chunks: RecordedChunk[] = [];
  let at = second + 1;
  while (at + CHUNK_HEAD <= file.length) {
    const end = at + CHUNK_HEAD + view.getUint32(at, true);
    // Of a chunk that is cut off, what is there still came from the board.
    chunks.push({ at: view.getFloat64(at + 4, true), bytes: file.subarray(at + CHUNK_HEAD, end) });
    if (end > file.length) break;
    at = end;
  }
  const recording = { header, chunks };
  if (at < file.length)
    throw new RecordingError(`The recording is cut off or damaged at byte ${at}.`, recording);
  return recording;
}

const rawHeader: RecordingHeader = { saved: '', hello: null };

function readHeader(line: string): RecordingHeader {
  try {
    const parsed: unknown = JSON.parse(line);
    if (typeof parsed !== 'object' || parsed === null) throw new Error('not an object');
    const { saved, hello = null } = parsed as { saved?: unknown; hello?: unknown };
    if (hello !== null && !isHello(hello)) throw new Error("the board's introduction is incomplete");
    return { saved: typeof saved === 'string' ? saved : '', hello };
  } catch (error) {
    throw new RecordingError(`The header of the recording can't be read: ${(error as Error).message}.`);
  }
}

function isHello(value: unknown): value is Hello {
  if (typeof value !== 'object' || value === null) return false;
  const h = value as Record<string, unknown>;
  const isNumber = (field: string) => Number.isSafeInteger(h[field]) && (h[field] as number) >= 0;
  if (h.type !== 'hello' || (h.kind !== 'samples' && h.kind !== 'edges')) return false;
  if (!HELLO_NUMBERS.every(isNumber) || h.tickHz === 0) return false;
  if (!HELLO_TEXTS.every((field) => typeof h[field] === 'string')) return false;
  try {
    encodeMessage(value as Hello); // played back, it goes through the wire's form again
    return true;
  } catch {
    return false;
  }
}

const HELLO_NUMBERS = [
  'sequence',
  'protocol',
  'image',
  'tickHz',
  'ticksPerConversion',
  'bits',
  'channels',
  'resetCause',
] as const;
const HELLO_TEXTS = ['board', 'firmware', 'serial'] as const;

function lineEnd(file: Uint8Array, from: number): number | null {
  const at = file.subarray(from, from + HEADER_LIMIT).indexOf(10);
  return at < 0 ? null : from + at;
}

const utf8 = (bytes: Uint8Array) => new TextDecoder('utf-8').decode(bytes);

/** Keeps the latest bytes of a session, so that what just happened can still be saved. */
export class RecordingBuffer {
  #chunks: RecordedChunk[] = [];
  #size = 0;

  /** `limit` in bytes: 16 MiB hold about six minutes at 44 kB/s. */
  constructor(readonly limit = 16 << 20) {}

  add(bytes: Uint8Array, at: number): void {
    this.#chunks.push({ at, bytes: bytes.slice() });
    this.#size += bytes.length;
    while (this.#size > this.limit && this.#chunks.length > 1)
      this.#size -= this.#chunks.shift()!.bytes.length;
  }

  clear(): void {
    this.#chunks = [];
    this.#size = 0;
  }

  get size(): number {
    return this.#size;
  }

  toRecording(header: RecordingHeader): Recording {
    return { header, chunks: this.#chunks.slice() };
  }
}
