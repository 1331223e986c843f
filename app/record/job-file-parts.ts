/** Reads a file of jobs from end to end, one whole job at a time, and refuses whatever doesn't fit together. */
import type { FiringRow } from './firing-row.ts';
import type { Job, Picture, Workshop } from './job.ts';
import type { JobBundle } from './job-bundle.ts';
import { JobFileError } from './job-file-error.ts';
import { gunzipLines } from './job-file-lines.ts';
import {
  type JobFileCounts,
  type JobFileHeader,
  type JobFileLine,
  type JobFollowers,
  readHeader,
  readLine,
} from './job-file-records.ts';
import { boardKey } from './known-boards.ts';
import type { KnownBoard, Preferences } from './preferences.ts';

/** In this order: the header, whole jobs, settings (of 'everything' only), the counts. */
export type JobFilePart =
  | { readonly kind: 'header'; readonly header: JobFileHeader }
  | { readonly kind: 'job'; readonly bundle: JobBundle }
  | { readonly kind: 'workshop'; readonly workshop: Workshop }
  | { readonly kind: 'preferences'; readonly preferences: Preferences }
  | { readonly kind: 'known board'; readonly board: KnownBoard }
  | { readonly kind: 'end'; readonly counts: JobFileCounts };

/**
 * Every part has been checked when it comes, but only the last one says that the file is whole. `read` is told
 * how many of the file's bytes have been taken.
 *
 * @throws JobFileError with a sentence that names the line.
 */
export async function* jobFileParts(file: Blob, read: (bytes: number) => void): AsyncGenerator<JobFilePart> {
  await requireGzip(file);
  const reader = new PartReader();
  for await (const line of gunzipLines(file, read)) yield* reader.take(line);
  reader.requireEnd();
}

async function requireGzip(file: Blob): Promise<void> {
  if (file.size === 0) throw new JobFileError('foreign', 'The file is empty.');
  const head = new Uint8Array(await file.slice(0, 20).arrayBuffer().catch(unreadable));
  if (head[0] === 0x1f && head[1] === 0x8b) return;
  const text = new TextDecoder('latin1').decode(head);
  const what = FOREIGN.find(([beginning]) => text.startsWith(beginning))?.[1];
  throw new JobFileError(
    'foreign',
    `This is no file of Leafclock jobs${what === undefined ? '' : `, but ${what}`}.`,
  );
}

const FOREIGN: readonly (readonly [string, string])[] = [
  ['%PDF-', 'a PDF'],
  ['leafclock recording', 'a recording of what a board sent'],
  ['PK', 'a ZIP file'],
];

function unreadable(error: unknown): never {
  const sentence =
    'The browser could not read the file. It may have been moved or unplugged; choose it again.';
  throw new JobFileError('unreadable', sentence, error);
}

class PartReader {
  #lines = 0;
  #header: JobFileHeader | null = null;
  #open: OpenJob | null = null;
  #ended = false;
  readonly #counts = { jobs: 0, firings: 0, samples: 0, pictures: 0, settings: 0 };
  readonly #seen = new Set<string>();

  *take(text: string): Generator<JobFilePart> {
    this.#lines += 1;
    try {
      if (this.#header === null) {
        this.#header = readHeader(text);
        yield { kind: 'header', header: this.#header };
      } else {
        yield* this.#takeLine(readLine(text));
      }
    } catch (error) {
      if (!(error instanceof JobFileError) || error.kind !== 'damaged') throw error;
      const sentence = `The file is damaged at line ${this.#lines}: ${error.message}.`;
      throw new JobFileError('damaged', sentence, error.cause);
    }
  }

  requireEnd(): void {
    if (this.#ended) return;
    const sentence =
      this.#header === null
        ? 'The file is empty.'
        : `The file is cut off: it breaks off after line ${this.#lines}, and its last line is missing.`;
    throw new JobFileError('damaged', sentence);
  }

  *#takeLine(line: JobFileLine): Generator<JobFilePart> {
    if (this.#ended) throw damaged('it goes on after its last line');
    if (this.#open !== null) {
      this.#open.take(line, this.#once);
      this.#count(line);
    } else if (line.kind === 'job') {
      if (this.#counts.settings > 0) throw damaged('a job comes after the settings');
      this.#once('job', line.record.id);
      this.#open = new OpenJob(line.record, line.followers!);
      this.#count(line);
    } else if (line.kind === 'firing' || line.kind === 'picture') {
      throw damaged(`this ${line.kind} belongs to no job`);
    } else if (line.kind === 'end') {
      this.#compare(line.counts);
      this.#ended = true;
      yield line;
    } else {
      if (this.#header!.contents !== 'everything') throw damaged('settings stand in a file of jobs only');
      this.#once(line.kind, line.kind === 'known board' ? boardKey(line.record) : '');
      this.#count(line);
      if (line.kind === 'workshop') yield { kind: line.kind, workshop: line.record };
      else if (line.kind === 'preferences') yield { kind: line.kind, preferences: line.record };
      else yield { kind: line.kind, board: line.record };
    }
    if (this.#open?.whole) {
      const { bundle } = this.#open;
      this.#open = null;
      yield { kind: 'job', bundle };
    }
  }

  readonly #once = (kind: string, id: string): void => {
    const key = `${kind} ${id}`;
    if (this.#seen.has(key))
      throw damaged(id === '' ? `a second ${kind}` : `a second ${kind} with the id “${id}”`);
    this.#seen.add(key);
  };

  #count(line: JobFileLine): void {
    if (line.kind === 'job') this.#counts.jobs += 1;
    else if (line.kind === 'firing') {
      this.#counts.firings += 1;
      if (line.samples !== null) this.#counts.samples += 1;
    } else if (line.kind === 'picture') this.#counts.pictures += 1;
    else this.#counts.settings += 1;
  }

  #compare(stated: JobFileCounts): void {
    for (const key of Object.keys(this.#counts) as (keyof JobFileCounts)[]) {
      if (stated[key] !== this.#counts[key]) {
        throw damaged(`it says that it holds ${key}: ${stated[key]}, but there are ${this.#counts[key]}`);
      }
    }
  }
}

/** A job whose firings and pictures are still coming. */
class OpenJob {
  readonly #job: Job;
  readonly #followers: JobFollowers;
  readonly #marks: ReadonlySet<string>;
  readonly #firings: FiringRow[] = [];
  readonly #samples = new Map<string, Uint8Array>();
  readonly #pictures: Picture[] = [];

  constructor(job: Job, followers: JobFollowers) {
    this.#job = job;
    this.#followers = followers;
    this.#marks = new Set(job.series.speeds.map(({ label }) => label));
  }

  get whole(): boolean {
    const { firings, pictures } = this.#followers;
    return this.#firings.length === firings && this.#pictures.length === pictures;
  }

  get bundle(): JobBundle {
    return { job: this.#job, firings: this.#firings, samples: this.#samples, pictures: this.#pictures };
  }

  take(line: JobFileLine, once: (kind: string, id: string) => void): void {
    const { firings, pictures } = this.#followers;
    if (this.#firings.length < firings) {
      if (line.kind !== 'firing') throw this.#missing('firings', this.#firings.length, firings);
      once('firing', line.record.id);
      this.#takeFiring(line.record, line.samples);
    } else {
      if (line.kind !== 'picture') throw this.#missing('pictures', this.#pictures.length, pictures);
      once('picture', line.record.id);
      this.#require(line.record.jobId, 'picture');
      this.#pictures.push(line.record);
    }
  }

  #takeFiring(firing: FiringRow, samples: Uint8Array | null): void {
    this.#require(firing.jobId, 'firing');
    if (!this.#marks.has(firing.mark)) throw damaged(`job ${this.#job.number} has no mark “${firing.mark}”`);
    const expected = firing.firing.sampleCount;
    if (samples !== null && samples.length !== expected) {
      throw damaged(`the firing has ${samples.length} samples where there should be ${expected}`);
    }
    this.#firings.push(firing);
    if (samples !== null) this.#samples.set(firing.id, samples);
  }

  #require(jobId: string, what: string): void {
    if (jobId !== this.#job.id) throw damaged(`the ${what} belongs to another job than the one it follows`);
  }

  #missing(what: string, there: number, expected: number): JobFileError {
    return damaged(`job ${this.#job.number} has ${there} ${what} where there should be ${expected}`);
  }
}

const damaged = (reason: string) => new JobFileError('damaged', reason);
