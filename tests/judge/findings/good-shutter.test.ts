import { describe, expect, it } from 'vitest';
import { findingsOf } from '../../../app/judge/findings/findings.ts';
import { type JobOptions, simulatedJob } from './simulated-job.ts';

/** Seeds of jobs on a sound shutter that show any finding, with what they show. */
function alarmed(jobs: number, options: Omit<JobOptions, 'seed'>): Map<number, string> {
  const found = new Map<number, string>();
  for (let seed = 1; seed <= jobs; seed++) {
    const findings = findingsOf(simulatedJob({ seed, cams: 'ordinary', ...options }));
    if (findings.length > 0) found.set(seed, findings.map(({ code, effect }) => `${code} ${effect}`).join());
  }
  return found;
}

describe('a sound shutter', () => {
  it('shows a finding in at most 2 % of 1,000 jobs of ten marks and five firings', () => {
    const found = alarmed(1000, {});
    expect(found.size, [...found.values()].join('; ')).toBeLessThanOrEqual(20);
  });

  it('no more often with three firings a mark', () => {
    expect(alarmed(300, { firings: 3 }).size).toBeLessThanOrEqual(6);
  });

  it('no more often after rests, and fired both on the bench and in the body', () => {
    const options: Omit<JobOptions, 'seed'> = {
      rests: ['1', '1/15', '1/125'],
      mountings: ['bare', 'in the body'],
    };
    expect(alarmed(200, options).size).toBeLessThanOrEqual(4);
  });

  it('with the cams of the practice shutter shows none, whatever the firings', () => {
    for (let seed = 1; seed <= 50; seed++) expect(findingsOf(simulatedJob({ seed }))).toEqual([]);
  });
});
