import { describe, expect, it } from 'vitest';
import type { SelfTimerRun } from '../../app/judge/camera-checks.ts';
import { selfTimerResult } from '../../app/judge/self-timer.ts';
import { selfTimerRemarkSentence, selfTimerSentence } from '../../app/judge/self-timer-sentences.ts';

function runs(
  times: readonly number[],
  startedBy: SelfTimerRun['startedBy'] = 'release switch',
): SelfTimerRun[] {
  return times.map((seconds, n) => ({
    id: String(n),
    at: '2026-03-01T10:00:00Z',
    seconds,
    startedBy,
    setAside: null,
  }));
}
const words = (all: readonly SelfTimerRun[]) => {
  const result = selfTimerResult(all);
  return [
    selfTimerSentence(result),
    ...result.remarks.map((remark) => selfTimerRemarkSentence(remark, result)),
  ];
};

describe('runs of the self-timer', () => {
  it('give mean, spread and range', () => {
    const result = selfTimerResult(runs([9.6, 9.8, 9.7]));
    expect(result).toMatchObject({ n: 3, shortest: 9.6, longest: 9.8, byKey: 0, remarks: [] });
    expect(result.mean).toBeCloseTo(9.7, 12);
    expect(result.sd).toBeCloseTo(0.1, 12);
    expect(result.range).toBeCloseTo(0.2, 12);
    expect(words(runs([9.6, 9.8, 9.7]))).toEqual([
      'The self-timer ran 9.70 s on average in 3 runs (SD 0.10 s, 9.60 to 9.80 s).',
    ]);
  });

  it('may be none or one', () => {
    expect(selfTimerResult([])).toMatchObject({ n: 0, mean: null, sd: null, range: null, remarks: [] });
    expect(words([])).toEqual(['The self-timer has not been timed.']);
    expect(selfTimerResult(runs([9]))).toMatchObject({ n: 1, mean: 9, sd: null, range: null, remarks: [] });
    expect(words(runs([9]))).toEqual(['The self-timer ran 9.00 s.']);
  });

  it('don’t count when they are set aside', () => {
    const all = runs([9, 20, 9.2]).map((run, n) => (n === 1 ? { ...run, setAside: 'stopped by hand' } : run));
    expect(selfTimerResult(all)).toMatchObject({ n: 2, longest: 9.2, remarks: [] });
  });

  it.each([
    { times: [9, 9.99], remarks: [] },
    { times: [9, 10.01], remarks: ['hesitates'] },
    { times: [7.99], remarks: ['short'] },
    { times: [8], remarks: [] },
    { times: [12], remarks: [] },
    { times: [12.01], remarks: ['long'] },
    { times: [11, 15], remarks: ['hesitates', 'long'] },
  ])('$times s: $remarks', ({ times, remarks }) => {
    expect(selfTimerResult(runs(times)).remarks).toEqual(remarks);
  });

  it('started by a key must miss a limit by more than the key is good for', () => {
    expect(selfTimerResult(runs([7.95], 'key')).remarks).toEqual(['by key']);
    expect(selfTimerResult(runs([7.85], 'key')).remarks).toEqual(['short', 'by key']);
    expect(selfTimerResult(runs([9, 10.15], 'key')).remarks).toEqual(['by key']);
    expect(selfTimerResult(runs([9, 10.25], 'key')).remarks).toEqual(['hesitates', 'by key']);
  });

  it('say each remark with its number', () => {
    const mixed = [...runs([9.04, 13.5]), ...runs([14.2], 'key')];
    expect(words(mixed)).toEqual([
      'The self-timer ran 12.2 s on average in 3 runs (SD 2.80 s, 9.0 to 14.2 s).',
      expect.stringMatching(/^Its runs differ by 5\.2 s.*own limit.*hesitates/),
      expect.stringMatching(/longer than the usual 8 to 12 s \(common practice, no source\)/),
      'For 1 of 3 runs the release was told by a key, so that these times are good to ±0.1 s.',
    ]);
    expect(words(runs([7], 'key')).slice(1)).toEqual([
      expect.stringMatching(/shorter than the usual 8 to 12 s \(common practice, no source\)/),
      'The release was told by a key, so that each time is good to ±0.1 s.',
    ]);
  });
});
