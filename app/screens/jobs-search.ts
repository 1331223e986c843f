/** Which jobs of the list are shown, and in which order. Quick enough to be done with every key. */
import type { JobState } from '../record/job.ts';
import type { JobSummary } from '../record/job-summary.ts';

export type Shelf = 'all' | 'removed' | JobState;

export interface JobsWanted {
  /** Words that must all be there, in any order. */
  readonly words: string;
  readonly shelf: Shelf;
  readonly by: 'received' | 'since';
  readonly newestFirst: boolean;
}

/** Case and accents left out: 'Café' is found by 'cafe'. */
const plain = (text: string) => text.toLowerCase().normalize('NFD').replace(/\p{M}/gu, '');
/** A number is found however it is spaced: 'KW-20417' by 'kw20417'. */
const squeezed = (text: string) => text.replace(/[^\p{L}\p{N}]/gu, '');

/** A job's text is put together once, since summaries are replaced and never changed. */
const texts = new WeakMap<JobSummary, string>();

function textOf(job: JobSummary): string {
  const known = texts.get(job);
  if (known !== undefined) return known;
  const { bodySerial, shutterSerial, lensSerial } = job.camera;
  const words = plain(
    [job.number, job.customer, ...Object.values(job.camera), job.complaint, job.state].join('\n'),
  );
  const numbers = [bodySerial, shutterSerial, lensSerial].map((serial) => squeezed(plain(serial)));
  const text = [words, ...numbers].join('\n');
  texts.set(job, text);
  return text;
}

/** Puts the texts of all jobs together beforehand, so that the first key needn't wait for it. */
export function prepareSearch(jobs: readonly JobSummary[]): void {
  for (const job of jobs) textOf(job);
}

export const onShelf = (job: JobSummary, shelf: Shelf): boolean =>
  shelf === 'removed'
    ? job.removed !== null
    : job.removed === null && (shelf === 'all' || job.state === shelf);

export function wantedJobs(jobs: readonly JobSummary[], wanted: JobsWanted): readonly JobSummary[] {
  const words = plain(wanted.words).split(/\s+/).filter(Boolean);
  const direction = wanted.newestFirst ? -1 : 1;
  return jobs
    .filter((job) => onShelf(job, wanted.shelf) && words.every((word) => textOf(job).includes(word)))
    .map((job) => ({ job, at: Date.parse(job[wanted.by]) }))
    .sort((a, b) => direction * (a.at - b.at || (a.job.number < b.job.number ? -1 : 1)))
    .map(({ job }) => job);
}
