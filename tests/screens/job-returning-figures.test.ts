import { describe, expect, it } from 'vitest';
import { type StageResult, stageResult } from '../../app/certificate/stage-results.ts';
import type { Job } from '../../app/record/job.ts';
import { speedsSince } from '../../app/screens/job-returning-figures.ts';
import { inventedFigures, inventedFiring, inventedJob } from '../certificate/invented-job.ts';

const job = inventedJob();

/** Firings at one mark, times in ms. */
const result = (mark: string, times: readonly number[], of: Job = job): StageResult =>
  stageResult(
    of,
    times.map((ms, i) => inventedFiring('as left', mark, i + 1, inventedFigures(ms / 1000))),
    'as left',
  );

const rowOf = (before: StageResult, now: StageResult, mark = '1/60') =>
  speedsSince(before, now).find((row) => row.mark === mark);

describe('the change since an earlier job', () => {
  it('is the ratio of the times in EV: twice as long is one stop slower', () => {
    const row = rowOf(result('1/60', [16, 16.1, 16.2]), result('1/60', [32, 32.2, 32.4]))!;
    expect(row.change).toMatch(/^\+1\.0+ ± 0\.\d+$/);
    expect(row.words).toBe('slower');
    expect(rowOf(result('1/60', [32, 32.2, 32.4]), result('1/60', [16, 16.1, 16.2]))).toMatchObject({
      change: expect.stringMatching(/^−1\.0+ ± /),
      words: 'faster',
    });
  });

  it('does not depend on what the mark was judged against then', () => {
    const exact = inventedJob({ referenceRule: job.referenceRule === 'exact' ? 'marked' : 'exact' });
    const [then, now] = [[16, 16.1, 16.2] as const, [20, 20.1, 20.2] as const];
    expect(rowOf(result('1/60', then, exact), result('1/60', now))!.change).toBe(
      rowOf(result('1/60', then), result('1/60', now))!.change,
    );
  });

  it('is no change while it lies within its uncertainty', () => {
    const row = rowOf(result('1/60', [14, 16, 18]), result('1/60', [14.5, 16.5, 18.5]))!;
    expect(row.words).toBe('no change shown');
  });

  it('has no verdict where one firing alone tells nothing of the spread, and is none where one is missing', () => {
    expect(rowOf(result('1/60', [16]), result('1/60', [32]))).toMatchObject({ change: '+1.00', words: '' });
    expect(rowOf(result('1/60', [16, 16.1]), result('1/125', [8, 8.1]))).toMatchObject({
      now: '–',
      change: '–',
      words: '',
    });
    expect(rowOf(result('1/60', [16, 16.1]), result('1/125', [8, 8.1]), '1/125')).toMatchObject({
      earlier: '–',
      change: '–',
    });
    expect(rowOf(result('1/60', [16]), result('1/60', [16]), '1/500')).toBeUndefined();
  });
});
