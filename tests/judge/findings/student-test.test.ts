import { describe, expect, it } from 'vitest';
import {
  amongTrials,
  bothTails,
  combinedVariance,
  upperTail,
} from '../../../app/judge/findings/student-test.ts';

const one = (dof: number) => ({ variance: 1, dof });

describe('Student’s t', () => {
  // Standard table of the t distribution, as in the NIST/SEMATECH handbook 1.3.6.7.2 (from memory).
  it.each([
    [4, 2.776, 0.05],
    [10, 2.228, 0.05],
    [8, 3.355, 0.01],
    [Number.POSITIVE_INFINITY, 1.96, 0.05],
    [Number.POSITIVE_INFINITY, 3.291, 0.001],
  ])('with %d degrees of freedom exceeds %d either way with probability %d', (dof, t, probability) => {
    expect(bothTails(t, one(dof)) / probability).toBeCloseTo(1, 2);
    expect(bothTails(-t, one(dof))).toBe(bothTails(t, one(dof)));
    expect(upperTail(t, one(dof))).toBeCloseTo(probability / 2, 4);
    expect(upperTail(-t, one(dof))).toBeCloseTo(1 - probability / 2, 4);
  });

  it('keeps its digits far out and does not mind a spread of zero', () => {
    expect(upperTail(20, one(Number.POSITIVE_INFINITY))).toBeGreaterThan(0);
    expect(upperTail(0.1, { variance: 0, dof: 4 })).toBe(0);
    expect(upperTail(0, { variance: 0, dof: 4 })).toBe(1);
    expect(bothTails(0, { variance: 0, dof: 4 })).toBe(1);
  });
});

describe('a variance put together', () => {
  // JCGM 100:2008, H.1.6: combined 32 nm, effective degrees of freedom 16.7 (from memory).
  it('has the degrees of freedom of the end-gauge example of the GUM', () => {
    const terms = [
      [25, 18],
      [9.7, 25.6],
      [2.9, 50],
      [16.6, 2],
    ].map(([u, dof]) => ({ weight: 1, variance: u! ** 2, dof: dof! }));
    const { variance, dof } = combinedVariance(terms);
    expect(Math.sqrt(variance)).toBeCloseTo(31.7, 1);
    expect(Math.floor(dof)).toBe(16);
  });

  it('keeps those of a single term, and has no end of them if every term is known', () => {
    expect(combinedVariance([{ weight: -2, variance: 3, dof: 5 }])).toEqual({ variance: 12, dof: 5 });
    const known = { weight: 1, variance: 2, dof: Number.POSITIVE_INFINITY };
    expect(combinedVariance([known, known])).toEqual({ variance: 4, dof: Number.POSITIVE_INFINITY });
  });

  it('is never more than certain after many trials', () => {
    expect(amongTrials(0.001, 15)).toBeCloseTo(0.015, 12);
    expect(amongTrials(0.2, 15)).toBe(1);
  });
});
