/** What this workshop's own jobs say of a paper that is looked at. */
import 'fake-indexeddb/auto';
import { beforeEach, expect, it, vi } from 'vitest';
import type { PaperCheck } from '../../app/certificate/attached-data.ts';
import { newJob } from '../../app/record/new-job.ts';
import { checkPaperFile } from '../../app/screens/actions/check-paper.ts';
import { lookAtJobs } from '../../app/screens/actions/jobs-list.ts';
import { record } from '../../app/screens/actions/record.ts';
import { view } from '../../app/screens/view.ts';

const NUMBER = '0007-20310402-090000';
const sum = (digit: string) => digit.repeat(64);
let sha256: string | null = null;
vi.mock('../../app/certificate/attached-data.ts', () => ({
  checkPaper: async () => ({ number: NUMBER, sha256 }) as PaperCheck,
}));

/** A job with that number on one paper, with data of the sum given. */
async function keep(id: string, dataSha256: string): Promise<void> {
  const at = '2031-04-02T09:00:00.000Z';
  const job = newJob({ id, number: '0007', received: at });
  const paper = { kind: 'certificate', number: NUMBER, at, dataSha256 } as const;
  await (await record()).saveJob({ ...job, issued: [paper] });
  await lookAtJobs();
}

const issueOf = async (data: string | null) => {
  sha256 = data;
  return (await checkPaperFile(new Blob())).issue;
};

beforeEach(() => {
  view.setState({ job: null });
});

it('is noted with these data, with others, or with data that were taken out of it', async () => {
  expect(await issueOf(sum('1'))).toEqual({ kind: 'not noted' });
  await keep('one', sum('1'));
  expect(await issueOf(sum('1'))).toMatchObject({ kind: 'noted', job: '0007' });
  expect(await issueOf(sum('3'))).toMatchObject({ kind: 'noted with other data' });
  expect(await issueOf(null)).toMatchObject({ kind: 'noted with data it lacks' });
});

it('is found with its own data, whichever of two papers with one number comes first', async () => {
  await keep('one', sum('1'));
  await keep('two', sum('2'));
  for (const digit of ['1', '2']) {
    expect(await issueOf(sum(digit))).toMatchObject({ kind: 'noted', paper: { dataSha256: sum(digit) } });
  }
});
