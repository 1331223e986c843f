/** Lines of text in a gzip file, one after another, so that a file of any size needs little memory. */
import { JobFileError } from './job-file-error.ts';

/**
 * Longest line taken, in bytes: a firing of five minutes at the fast rate fills half of it. Whatever a small
 * gzip file blows up to, no more than this is ever held.
 */
const MOST_LINE = 64 << 20;

/** Lines handed to the compressor together. */
const BATCH = 1 << 16;

/** Rejects with whatever `lines` throws. `lines` come without their line feed and hold none. */
export async function gzipLines(lines: AsyncGenerator<string>): Promise<Blob> {
  let failure: { readonly error: unknown } | null = null;
  const encoder = new TextEncoder();
  const text = new ReadableStream<Uint8Array<ArrayBuffer>>({
    pull: async (controller) => {
      try {
        const batch: string[] = [];
        let size = 0;
        let done = false;
        while (size < BATCH && !done) {
          const next = await lines.next();
          if (next.done === true) {
            done = true;
          } else {
            batch.push(next.value, '\n');
            size += next.value.length;
          }
        }
        if (batch.length > 0) controller.enqueue(encoder.encode(batch.join('')));
        if (done) controller.close();
      } catch (error) {
        failure = { error };
        controller.error(error);
      }
    },
  });
  try {
    const packed = text.pipeThrough(new CompressionStream('gzip'));
    return await new Response(packed, { headers: { 'Content-Type': 'application/gzip' } }).blob();
  } catch (error) {
    // The streams on the way tell of a failure in words of their own.
    throw failure === null ? error : (failure as { error: unknown }).error;
  }
}

/**
 * The lines of a gzip file, which must end with a line feed. `read` is told how many of the file's bytes have
 * been taken.
 *
 * @throws JobFileError 'damaged', 'too large' or 'unreadable'.
 */
export async function* gunzipLines(file: Blob, read: (bytes: number) => void): AsyncGenerator<string> {
  let taken = 0;
  const count = new TransformStream<Uint8Array<ArrayBuffer>, Uint8Array<ArrayBuffer>>({
    transform: (chunk, controller) => {
      taken += chunk.length;
      controller.enqueue(chunk);
    },
  });
  const reader = file.stream().pipeThrough(count).pipeThrough(new DecompressionStream('gzip')).getReader();
  const line = new LineInPieces();
  try {
    for (;;) {
      const { done, value } = await reader.read().catch(refuse);
      if (done) break;
      read(taken);
      let from = 0;
      for (let end = value.indexOf(10); end >= 0; end = value.indexOf(10, from)) {
        line.add(value.subarray(from, end));
        yield line.take();
        from = end + 1;
      }
      line.add(value.slice(from));
    }
    if (!line.empty) throw new JobFileError('damaged', 'The file is damaged: it breaks off within a line.');
  } finally {
    // Not cancelled: Node hands on what is unpacked already to a stream that was, and dies of it. Nobody asks this one
    // any more, so no more is unpacked.
    reader.releaseLock();
  }
}

function refuse(error: unknown): never {
  const { name } = error as { name?: string };
  if (name === 'NotReadableError' || name === 'NotFoundError' || name === 'NotAllowedError') {
    throw new JobFileError(
      'unreadable',
      'The browser could not read the file. It may have been changed, moved or unplugged since it was chosen; choose it again.',
      error,
    );
  }
  throw new JobFileError(
    'damaged',
    'The file is damaged or cut off: it can’t be unpacked to its end.',
    error,
  );
}

/** A line as it comes in, in as many pieces as it likes. */
class LineInPieces {
  readonly #decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
  #pieces: Uint8Array[] = [];
  #size = 0;

  get empty(): boolean {
    return this.#size === 0;
  }

  add(piece: Uint8Array): void {
    this.#size += piece.length;
    if (this.#size > MOST_LINE) {
      throw new JobFileError(
        'too large',
        `The file holds a line of more than ${MOST_LINE >> 20} MB, which no job needs. It was not read further.`,
      );
    }
    if (piece.length > 0) this.#pieces.push(piece);
  }

  take(): string {
    const bytes = this.#pieces.length === 1 ? this.#pieces[0]! : joined(this.#pieces, this.#size);
    this.#pieces = [];
    this.#size = 0;
    try {
      return this.#decoder.decode(bytes);
    } catch (error) {
      throw new JobFileError('damaged', 'The file is damaged: a line of it is no text.', error);
    }
  }
}

function joined(pieces: readonly Uint8Array[], size: number): Uint8Array {
  const whole = new Uint8Array(size);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}
