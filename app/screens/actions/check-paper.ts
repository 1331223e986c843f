/** Looks at a paper or at its data file, and whether it is noted in the jobs that are kept here. */
import type { PaperCheck } from '../../certificate/attached-data.ts';
import type { IssuedPaper, Job } from '../../record/job.ts';
import { view } from '../view.ts';
import { record } from './record.ts';

/** What this workshop's own jobs say of a paper with that number. */
export type IssueFound =
  | { readonly kind: 'not noted' }
  | {
      readonly kind: 'noted' | 'noted with other data';
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
  for await (const job of jobsThatMayHave(number)) {
    const paper = job.issued.find((one) => one.number === number && one.dataSha256 !== null);
    if (paper === undefined) continue;
    const same = paper.dataSha256 === sha256;
    return { kind: same ? 'noted' : 'noted with other data', job: job.number, paper };
  }
  return { kind: 'not noted' };
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
