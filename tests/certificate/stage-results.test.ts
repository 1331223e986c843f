import { describe, expect, it } from 'vitest';
import { type KeptResults, stageResult } from '../../app/certificate/stage-results.ts';
import { inventedInput } from './invented-job.ts';

const { job, firings } = inventedInput();
const found = firings.filter(({ stage }) => stage === 'as found');
const last = found.at(-1)!;

describe('results kept from firing to firing', () => {
  const kept: KeptResults = new Map();
  const before = stageResult(job, found.slice(0, -1), 'as found', kept);
  const after = stageResult(job, found, 'as found', kept);
  const of = (marks: typeof after.marks, other: boolean) =>
    marks.filter(({ speed }) => (speed.label === last.mark) !== other);

  it('are the same as without, and those of other marks are not worked out again', () => {
    expect(after).toEqual(stageResult(job, found, 'as found'));
    expect(of(after.marks, true).length).toBeGreaterThan(3);
    of(after.marks, true).forEach((result, i) => void expect(result).toBe(of(before.marks, true)[i]));
    expect(of(after.marks, false)[0]!.statistics.n).toBe(of(before.marks, false)[0]!.statistics.n + 1);
  });

  it('follow a firing that was set aside, and a job that was changed', () => {
    const aside = found.map((firing) => (firing === last ? { ...firing, setAside: 'bumped' } : firing));
    expect(stageResult(job, aside, 'as found', kept)).toEqual(stageResult(job, aside, 'as found'));
    const strict = { ...job, decisionRule: 'guard band' as const };
    expect(stageResult(strict, found, 'as found', kept)).toEqual(stageResult(strict, found, 'as found'));
    expect(stageResult(job, found, 'as left', kept)).toEqual(stageResult(job, found, 'as left'));
  });
});
