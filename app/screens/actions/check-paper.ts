/** Looks at a paper or at its data file, and whether it is noted in the jobs that are kept here. */
import type { PaperCheck } from '../../certificate/attached-data.ts';
import type { IssuedPaper, Job } from '../../record/job.ts';
import { view } from '../view.ts';
import { record } from './record.ts';

/** What this workshop's own jobs say of a paper with that number. */
export type IssueFound =
  | { readonly kind: 'not noted' }
  | {
      readonly kind: 'noted' | 'noted with other data' | 'noted with data it lacks';
      readonly job: string;
      readonly paper: IssuedPaper;
    };

export interface CheckedPaper {
  readonly check: PaperCheck;
  /** Null where the paper gave no number. */
  readonly issue: IssueFound | null;
}

/** @throws Error with a sentence for what is neither, or can't be read. */
export async function checkPaperFile(file: Blob): Promise<CheckedPaper> {
  const { checkPaper } = await import('../../certificate/attached-data.ts');
  const check = await checkPaper(file);
  return { check, issue: check.number === null ? null : await issueOf(check.number, check.sha256) };
}

async function issueOf(number: string, sha256: string | null): Promise<IssueFound> {
  let found: IssueFound = { kind: 'not noted' };
  for await (const job of jobsThatMayHave(number)) {
    for (const paper of job.issued) {
      if (paper.number !== number || paper.dataSha256 === null) continue;
      if (paper.dataSha256 === sha256) return { kind: 'noted', job: job.number, paper };
      const kind = sha256 === null ? 'noted with data it lacks' : 'noted with other data';
      // Jobs of two computers may have one number, and so may their papers.
      if (found.kind === 'not noted') found = { kind, job: job.number, paper };
    }
  }
  return found;
}

/** The number of a paper begins with that of its job; the open one is at hand. */
async function* jobsThatMayHave(number: string): AsyncGenerator<Job> {
  const { job: open, jobs } = view.getState();
  if (open !== null) yield open;
  const others = jobs.filter((job) => job.id !== open?.id && number.startsWith(`${job.number}-`));
  for (const { id } of others) {
    // A job that can't be read is said where the jobs are listed; it must not keep a paper from being checked.
    const job = await (await record()).loadJob(id).catch(() => null);
    if (job !== null) yield job;
  }
}
