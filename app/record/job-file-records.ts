/** The lines of a file of jobs: records in the envelopes of the schema door, bytes beside them in base64. */
import * as v from 'valibot';
import { count, positiveCount, text, timestamp } from './field-schemas.ts';
import { base64, bytesOf } from './job-file-base64.ts';
import { JobFileError } from './job-file-error.ts';
import { RecordError } from './record-error.ts';
import type { RecordTypes } from './record-types.ts';
import { type Envelope, openEnvelope, RECORD_SOURCE, sealEnvelope } from './schema.ts';

const FORMAT = 'leafclock jobs';
/** Of the lines and their order. What a record holds has the version of its own envelope. */
const FORMAT_VERSION = 1;

export interface JobFileHeader {
  /** The program that wrote it, with its version. */
  readonly source: string;
  /** ISO 8601 with zone. */
  readonly written: string;
  readonly contents: 'jobs' | 'everything';
}

const RECORD_KINDS = ['job', 'firing', 'picture', 'workshop', 'preferences', 'known board'] as const;
type RecordKind = (typeof RECORD_KINDS)[number];

/** What a job is followed by before the next one. */
export interface JobFollowers {
  readonly firings: number;
  readonly pictures: number;
}

/** What the last line says of those before it, the first one left out. */
export interface JobFileCounts extends JobFollowers {
  readonly jobs: number;
  /** Firings that come with their samples. */
  readonly samples: number;
  readonly settings: number;
}

interface RecordLine<Kind extends RecordKind> {
  readonly kind: Kind;
  readonly record: RecordTypes[Kind];
  /** A firing's samples; null where they were lost, and for every other kind. */
  readonly samples: Uint8Array | null;
  /** Of a job only. */
  readonly followers: JobFollowers | null;
}

export type JobFileLine =
  | { readonly [Kind in RecordKind]: RecordLine<Kind> }[RecordKind]
  | { readonly kind: 'end'; readonly counts: JobFileCounts };

export const headerLine = ({ source, written, contents }: JobFileHeader): string =>
  JSON.stringify({ format: FORMAT, version: FORMAT_VERSION, source, written, contents });

export const endLine = (counts: JobFileCounts): string => JSON.stringify({ kind: 'end', counts });

/**
 * `more`: the samples of a firing, or how many lines follow a job.
 *
 * @throws RecordError 'refused' for a record that is not valid.
 */
export function recordLine<Kind extends RecordKind>(
  kind: Kind,
  record: RecordTypes[Kind],
  more: { readonly samples?: Uint8Array | null; readonly followers?: JobFollowers } = {},
): string {
  const envelope = sealEnvelope(kind, record);
  const { data, bytes } = takeBytes(kind, envelope.data as RecordTypes[Kind]);
  const beside = more.samples ?? bytes;
  return JSON.stringify({
    kind,
    record: { ...envelope, data },
    ...(beside === null ? {} : { bytes: base64(beside) }),
    ...more.followers,
  });
}

/** Bytes stand beside their record, since JSON has none: a picture's, or those of the workshop's logo. */
function takeBytes(kind: RecordKind, data: object): { data: object; bytes: Uint8Array | null } {
  if (kind === 'picture') {
    const { bytes, ...rest } = data as RecordTypes['picture'];
    return { data: rest, bytes };
  }
  const { logo } = data as Partial<RecordTypes['workshop']>;
  if (kind !== 'workshop' || !logo) return { data, bytes: null };
  const { bytes, ...rest } = logo;
  return { data: { ...data, logo: rest }, bytes };
}

function putBytes(kind: RecordKind, data: unknown, bytes: Uint8Array): unknown {
  if (typeof data !== 'object' || data === null) return data;
  if (kind === 'picture') return { ...data, bytes };
  const { logo } = data as { logo?: unknown };
  if (typeof logo !== 'object' || logo === null) throw damaged('it has bytes that belong to nothing');
  return { ...data, logo: { ...logo, bytes } };
}

const formatSchema = v.object({ format: v.literal(FORMAT), version: positiveCount, source: text });

const headerSchema = v.strictObject({
  format: v.literal(FORMAT),
  version: v.literal(FORMAT_VERSION),
  source: text,
  written: timestamp,
  contents: v.picklist(['jobs', 'everything']),
});

/** @throws JobFileError 'foreign', 'newer' or 'damaged'. */
export function readHeader(line: string): JobFileHeader {
  const json = jsonOf(line);
  const form = v.safeParse(formatSchema, json);
  if (!form.success) throw new JobFileError('foreign', 'This is no file of Leafclock jobs.');
  const { version, source } = form.output;
  if (version > FORMAT_VERSION) {
    throw new JobFileError(
      'newer',
      `This file was written by “${source}” in version ${version} of its form; ${RECORD_SOURCE} reads up to ` +
        `version ${FORMAT_VERSION}. A newer Leafclock can read it.`,
    );
  }
  const header = v.safeParse(headerSchema, json);
  if (!header.success) throw damaged(header.issues[0].message);
  const { written, contents } = header.output;
  return { source, written, contents };
}

const followers = { firings: v.optional(count), pictures: v.optional(count) };
const recordSchema = v.strictObject({
  kind: v.picklist(RECORD_KINDS),
  record: v.looseObject({ data: v.unknown() }),
  bytes: v.optional(text),
  ...followers,
});
const endSchema = v.strictObject({
  kind: v.literal('end'),
  counts: v.strictObject({ jobs: count, firings: count, samples: count, pictures: count, settings: count }),
});

/** Any line after the first. @throws JobFileError 'newer' or 'damaged'. */
export function readLine(line: string): JobFileLine {
  const parsed = v.safeParse(v.variant('kind', [recordSchema, endSchema]), jsonOf(line));
  if (!parsed.success) throw damaged(parsed.issues[0].message);
  const found = parsed.output;
  if (found.kind === 'end') return found;
  const { kind } = found;
  const isJob = kind === 'job';
  if (isJob !== (found.firings !== undefined) || isJob !== (found.pictures !== undefined)) {
    throw damaged('what follows a job is not counted as it should be');
  }
  const bytes = found.bytes === undefined ? null : bytesOf(found.bytes);
  if (found.bytes !== undefined && bytes === null) throw damaged('its bytes are no base64');
  if (bytes !== null && kind !== 'firing' && kind !== 'picture' && kind !== 'workshop') {
    throw damaged('it has bytes that belong to nothing');
  }
  const envelope: unknown =
    bytes === null || kind === 'firing'
      ? found.record
      : { ...found.record, data: putBytes(kind, found.record.data, bytes) };
  return {
    kind,
    record: opened(kind, envelope),
    samples: kind === 'firing' ? bytes : null,
    followers: isJob ? { firings: found.firings!, pictures: found.pictures! } : null,
  } as JobFileLine;
}

function opened(kind: RecordKind, envelope: unknown): RecordTypes[RecordKind] {
  const { type, version, source, data, ...unknown } = envelope as Partial<Envelope>;
  if (Object.keys(unknown).length > 0) throw damaged('its envelope holds more than it should');
  try {
    return openEnvelope(kind, { type, version, source, data });
  } catch (error) {
    if (!(error instanceof RecordError)) throw error;
    if (error.kind !== 'newer record') throw damaged(withoutStop(error.message), error);
    throw new JobFileError(
      'newer',
      `This file holds a ${kind} written by “${String(source)}” as version ${String(version)} of its records, ` +
        `which ${RECORD_SOURCE} can’t read. A newer Leafclock can.`,
      error,
    );
  }
}

function jsonOf(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return undefined;
  }
}

const withoutStop = (sentence: string) => sentence.replace(/\.$/, '');

/** The place is put before it by whoever counts the lines. */
const damaged = (reason: string, cause?: unknown) => new JobFileError('damaged', reason, cause);
