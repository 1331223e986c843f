import { describe, expect, it } from 'vitest';
import type { FindingCode } from '../../../app/judge/finding.ts';
import { findingsOf } from '../../../app/judge/findings/findings.ts';
import { FINDING_THRESHOLDS } from '../../../app/judge/findings/thresholds.ts';
import { FAULTS, faultyJob } from './simulated-effects.ts';

const CODES = Object.keys(FAULTS) as FindingCode[];
const JOBS = 200;

/** Share of seeded jobs, five firings a mark, in which a fault of this size is found. */
function foundShare(code: FindingCode, size: number, firstSeed: number): number {
  let found = 0;
  for (let seed = firstSeed; seed < firstSeed + JOBS; seed++) {
    if (findingsOf(faultyJob(code, size, seed)).some((finding) => finding.code === code)) found++;
  }
  return found / JOBS;
}

/** Equality has a margin instead of a least size: its whole effect is no difference at all. */
const twiceThePractical = (code: FindingCode) =>
  code === 'neighbours equal' ? 0 : 2 * FINDING_THRESHOLDS[code].practical;

describe('with five firings a mark', () => {
  it.each(CODES)('"%s" is found at twice its practical threshold in at least nine of ten jobs', (code) => {
    expect(foundShare(code, twiceThePractical(code), 1)).toBeGreaterThanOrEqual(0.9);
  });

  // 0.9 less two standard errors of a share of 200.
  it.each(CODES)('"%s" is found at its published detectable size about as often as it says', (code) => {
    expect(foundShare(code, FINDING_THRESHOLDS[code].detectable, 5001)).toBeGreaterThanOrEqual(0.857);
  });

  it.each(CODES)('"%s" is seldom found at half its practical threshold', (code) => {
    const { practical } = FINDING_THRESHOLDS[code];
    const small = code === 'neighbours equal' ? 2 * practical : practical / 2;
    let found = 0;
    for (let seed = 1; seed <= 40; seed++) {
      if (findingsOf(faultyJob(code, small, seed)).some((finding) => finding.code === code)) found++;
    }
    expect(found).toBeLessThanOrEqual(3);
  });
});
