/**
 * One file for some jobs or for everything: to keep as a backup, to take to another computer. Its form is
 * described in job-file.md.
 *
 * A file is read twice. readJobFile goes through all of it and keeps nothing but its list of jobs, so that a
 * file which is foreign, damaged or newer is refused before anything is written; importJobFile then takes job
 * by job, each in a transaction of its own. Neither holds more than one job in memory.
 */
import type { LocalRecord } from './database.ts';
import type { JobBundle } from './job-bundle.ts';
import { goOn, JobFileError } from './job-file-error.ts';
import { gzipLines } from './job-file-lines.ts';
import { type JobFilePart, jobFileParts } from './job-file-parts.ts';
import {
  endLine,
  headerLine,
  type JobFileCounts,
  type JobFileHeader,
  recordLine,
} from './job-file-records.ts';
import { type JobSummary, summaryOf } from './job-summary.ts';
import { boardKey } from './known-boards.ts';
import type { Preferences } from './preferences.ts';
import { RecordError } from './record-error.ts';
import { sameContent } from './same-content.ts';
import { RECORD_SOURCE } from './schema.ts';

/** Told how much of the work is done, from 0 to 1. */
export type JobFileProgress = (part: number) => void;

/** What became of a job or a setting of the file that is imported. */
export type ImportOutcome = 'added' | 'same' | 'kept' | 'replaced';

export interface WrittenJobFile {
  readonly file: Blob;
  readonly counts: JobFileCounts;
  /** What can't be read here and is therefore missing from the file, a sentence each. */
  readonly leftOut: readonly string[];
}

/** A file that was read to its end and found whole. */
export interface JobFile extends JobFileHeader {
  readonly blob: Blob;
  readonly counts: JobFileCounts;
  readonly jobs: readonly JobSummary[];
}

export interface ImportReport {
  /** In the order of the file. */
  readonly jobs: readonly { readonly job: JobSummary; readonly outcome: ImportOutcome }[];
  /** Jobs that the record would not take, with the sentence that says why; nothing of them was written. */
  readonly refused: readonly { readonly job: JobSummary; readonly reason: string }[];
  /** Null: the file holds none, or it was not reached. */
  readonly workshop: ImportOutcome | null;
  readonly preferences: ImportOutcome | null;
  /** Workshop, preferences or boards that can't be read here and were not written over, a sentence each. */
  readonly refusedSettings: readonly string[];
  /** Boards that were not known here, or not as lately. */
  readonly boards: number;
  /** Numbers of jobs that another job here has as well: they need a look. */
  readonly sharedNumbers: readonly string[];
  /** True when the user broke it off: the jobs above are whole, the others were not begun. */
  readonly cancelled: boolean;
}

/** The record as files need it; LocalRecord is one. */
export type RecordOfFiles = Pick<
  LocalRecord,
  | 'listJobs'
  | 'loadBundle'
  | 'addBundle'
  | 'loadWorkshop'
  | 'saveWorkshop'
  | 'loadPreferences'
  | 'savePreferences'
  | 'loadBoards'
  | 'noteBoard'
>;

/**
 * Writes the jobs with these ids, or every job (those taken off the list too), the workshop, its preferences
 * and the boards known here. A job that can't be read is left out, and said to be.
 *
 * @throws JobFileError 'cancelled'; RecordError as the record throws it.
 */
export async function writeJobFile(
  record: RecordOfFiles,
  ids: readonly string[] | 'everything',
  progress: JobFileProgress = () => {},
  signal?: AbortSignal,
): Promise<WrittenJobFile> {
  const counts = { jobs: 0, firings: 0, samples: 0, pictures: 0, settings: 0 };
  const leftOut: string[] = [];
  async function* lines(): AsyncGenerator<string> {
    const written = new Date().toISOString();
    yield headerLine({ source: RECORD_SOURCE, written, contents: ids === 'everything' ? ids : 'jobs' });
    const wanted = ids === 'everything' ? await everyJob(record, leftOut) : ids;
    for (const [index, id] of wanted.entries()) {
      goOn(signal);
      const bundle = await orLeftOut(record.loadBundle(id), leftOut);
      if (bundle !== null) {
        for (const { reason } of bundle.unreadable) leftOut.push(`Job ${bundle.job.number}: ${reason}`);
        counts.jobs += 1;
        counts.firings += bundle.firings.length;
        counts.samples += bundle.samples.size;
        counts.pictures += bundle.pictures.length;
        yield* bundleLines(bundle);
      }
      progress((index + 1) / wanted.length);
    }
    if (ids === 'everything') {
      for await (const line of settingLines(record, leftOut)) {
        counts.settings += 1;
        yield line;
      }
    }
    yield endLine(counts);
  }
  const file = await gzipLines(lines());
  return { file, counts, leftOut };
}

async function everyJob(record: RecordOfFiles, leftOut: string[]): Promise<readonly string[]> {
  const { jobs, unreadable } = await record.listJobs();
  leftOut.push(...unreadable.map(({ reason }) => reason));
  return jobs.map(({ id }) => id);
}

function* bundleLines({ job, firings, samples, pictures }: JobBundle): Generator<string> {
  yield recordLine('job', job, { followers: { firings: firings.length, pictures: pictures.length } });
  for (const firing of firings)
    yield recordLine('firing', firing, { samples: samples.get(firing.id) ?? null });
  for (const picture of pictures) yield recordLine('picture', picture);
}

async function* settingLines(record: RecordOfFiles, leftOut: string[]): AsyncGenerator<string> {
  const workshop = await orLeftOut(record.loadWorkshop(), leftOut);
  if (workshop !== null) yield recordLine('workshop', workshop);
  const preferences = await orLeftOut(record.loadPreferences(), leftOut);
  if (preferences !== null) yield recordLine('preferences', preferences);
  const { boards, unreadable } = await record.loadBoards();
  leftOut.push(...unreadable.map(({ reason }) => reason));
  for (const board of boards) yield recordLine('known board', board);
}

/** What one damaged record keeps from being copied must not keep the others from it. */
async function orLeftOut<Read>(reading: Promise<Read>, leftOut: string[]): Promise<Read | null> {
  try {
    return await reading;
  } catch (error) {
    const isOne = error instanceof RecordError && ['damaged', 'newer record', 'missing'].includes(error.kind);
    if (!isOne) throw error;
    leftOut.push(error.message);
    return null;
  }
}

/**
 * Reads a file to its end and checks every line and count. Nothing is written.
 *
 * @throws JobFileError 'foreign', 'newer', 'damaged', 'too large', 'unreadable' or 'cancelled'.
 */
export async function readJobFile(
  blob: Blob,
  progress: JobFileProgress = () => {},
  signal?: AbortSignal,
): Promise<JobFile> {
  const jobs: JobSummary[] = [];
  let header: JobFileHeader | null = null;
  let counts: JobFileCounts | null = null;
  for await (const part of jobFileParts(blob, (bytes) => progress(bytes / blob.size))) {
    goOn(signal);
    if (part.kind === 'header') header = part.header;
    else if (part.kind === 'job') jobs.push(summaryOf(part.bundle.job));
    else if (part.kind === 'end') counts = part.counts;
  }
  // jobFileParts gives both or throws.
  return { ...header!, counts: counts!, jobs, blob };
}

/**
 * Takes a file in that readJobFile has checked: jobs one by one, then settings. What is here already and equal
 * is left alone, so that importing twice changes nothing. What differs is kept or replaced as the user chose;
 * of a board the later entry stays in any case.
 *
 * @throws JobFileError 'failed' with how far it came when the record could not take a job; the jobs before it
 *   are whole, and importing the same file again goes on from there.
 */
export async function importJobFile(
  record: RecordOfFiles,
  file: JobFile,
  differing: 'keep' | 'replace',
  progress: JobFileProgress = () => {},
  signal?: AbortSignal,
): Promise<ImportReport> {
  const taken: { job: JobSummary; outcome: ImportOutcome }[] = [];
  const refused: { job: JobSummary; reason: string }[] = [];
  const settings: Settings = { workshop: null, preferences: null, refusedSettings: [], boards: 0 };
  let cancelled = false;
  try {
    for await (const part of jobFileParts(file.blob, () => {})) {
      if (signal?.aborted) {
        cancelled = part.kind !== 'end';
        break;
      }
      if (part.kind === 'job') {
        const job = summaryOf(part.bundle.job);
        const answer = await record.addBundle(part.bundle, differing).catch(reasonOfOne);
        if (typeof answer === 'string') taken.push({ job, outcome: answer });
        else refused.push({ job, reason: answer.message });
        progress((taken.length + refused.length) / file.counts.jobs);
      } else {
        await takeSetting(record, part, differing, settings);
      }
    }
  } catch (error) {
    throw brokenOff(error, taken.length, file.counts.jobs);
  }
  const { jobs } = await record.listJobs();
  return { jobs: taken, refused, ...settings, sharedNumbers: sharedNumbers(jobs, taken), cancelled };
}

/** What is wrong with one job is no reason to leave the others. */
function reasonOfOne(error: unknown): RecordError {
  const isOne = error instanceof RecordError && ['refused', 'exists', 'newer record'].includes(error.kind);
  if (!isOne) throw error;
  return error;
}

interface Settings {
  workshop: ImportOutcome | null;
  preferences: ImportOutcome | null;
  refusedSettings: string[];
  boards: number;
}

async function takeSetting(
  record: RecordOfFiles,
  part: JobFilePart,
  differing: 'keep' | 'replace',
  settings: Settings,
): Promise<void> {
  const { refusedSettings } = settings;
  if (part.kind === 'workshop') {
    const { workshop } = part;
    settings.workshop = await outcomeOf(record.loadWorkshop(), workshop, differing, refusedSettings);
    if (writes(settings.workshop)) await record.saveWorkshop(workshop);
  } else if (part.kind === 'preferences') {
    const preferences = await withOwnDate(record, part.preferences);
    settings.preferences = await outcomeOf(record.loadPreferences(), preferences, differing, refusedSettings);
    if (writes(settings.preferences)) await record.savePreferences(preferences);
  } else if (part.kind === 'known board') {
    const { board } = part;
    const here = (await record.loadBoards()).boards.find((one) => boardKey(one) === boardKey(board));
    if (here !== undefined && Date.parse(here.lastSeen) >= Date.parse(board.lastSeen)) return;
    if ((await orLeftOut(record.noteBoard(board), refusedSettings)) !== null) settings.boards += 1;
  }
}

/** When everything was last saved is known here alone: a file can't tell of itself. */
async function withOwnDate(record: RecordOfFiles, brought: Preferences): Promise<Preferences> {
  const here = await record.loadPreferences().catch(() => null);
  return here === null ? brought : { ...brought, backUp: { ...brought.backUp, last: here.backUp.last } };
}

/** A damaged one differs and may be replaced; what a newer Leafclock wrote stays in any case. */
async function outcomeOf<Kept>(
  loading: Promise<Kept | null>,
  brought: Kept,
  differing: 'keep' | 'replace',
  refused: string[],
): Promise<ImportOutcome> {
  try {
    const here = await loading;
    if (here === null) return 'added';
    if (sameContent(here, brought)) return 'same';
  } catch (error) {
    const isOne = error instanceof RecordError && ['damaged', 'newer record'].includes(error.kind);
    if (!isOne) throw error;
    if (differing === 'keep' || error.kind !== 'damaged') {
      refused.push(error.message);
      return 'kept';
    }
  }
  return differing === 'keep' ? 'kept' : 'replaced';
}

const writes = (outcome: ImportOutcome) => outcome === 'added' || outcome === 'replaced';

/** Jobs of other computers have numbers of their own, which may be taken here. */
function sharedNumbers(all: readonly JobSummary[], taken: ImportReport['jobs']): readonly string[] {
  const ids = new Map<string, Set<string>>();
  for (const { number, id } of all) ids.set(number, (ids.get(number) ?? new Set()).add(id));
  const numbers = new Set(taken.filter(({ outcome }) => writes(outcome)).map(({ job }) => job.number));
  return [...numbers].filter((number) => ids.get(number)!.size > 1);
}

function brokenOff(error: unknown, done: number, all: number): JobFileError {
  const reason = error instanceof Error ? error.message : String(error);
  const jobs = all === 1 ? 'job' : 'jobs';
  const before =
    done === 0
      ? 'No job was imported.'
      : `${done} of ${all} ${jobs} ${done === 1 ? 'was' : 'were'} imported, each of them whole; the rest was not begun.`;
  const sentence = `${before} ${reason} Importing the same file again goes on from there.`;
  return new JobFileError('failed', sentence, error);
}
