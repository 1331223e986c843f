/**
 * When a pattern in the readings counts as a finding: it must be significant, and it must be large enough to
 * matter to a repairer. Both limits are of our own choosing, so that a sound shutter keeps quiet (at most 2 % of
 * jobs on one show any finding) and twice the practical threshold is found in at least nine jobs of ten.
 */
import type { FindingCode } from '../finding.ts';

/**
 * Standard deviation, in stops, of what the cams of a sound shutter are off by from mark to mark: up to about a
 * quarter of a stop, and more at the two fastest marks. Common practice, no source. Wherever marks are held
 * against each other or against their references, this is a random effect on top of the firings' own spread.
 */
export const CAM_SD = 0.08;
export const CAM_SD_FASTEST = 0.12;
export const FASTEST_MARKS = 2;

/** Blades that stop short of the open level: highest light as a share of it, seen in so many firings. */
export const LOW_PEAK = { share: 0.95, firings: 3 } as const;

/** No hand presses and lets go of B within this time (s); from memory, a tenth of a second is quick. */
export const SHORTEST_PRESS = 0.03;

export interface FindingThreshold {
  /** What is measured. */
  readonly effect: string;
  readonly unit: 'EV' | 'ms' | '% of the open light' | 'firings';
  /** Least size that counts, in `unit`. */
  readonly practical: number;
  /** Largest probability of such an effect by chance, all marks tried taken together; null for a plain observation. */
  readonly significance: number | null;
  /** Least number of counted firings at each mark taken, and of marks that have them. */
  readonly firings: number;
  readonly marks: number;
  /** Least data in words. */
  readonly least: string;
  readonly test: string;
  /**
   * Size found in 90 % of simulated jobs with five firings a mark and ten marks, in `unit`; for 'neighbours equal'
   * how far apart two marks may be. Checked by the tests of this folder.
   */
  readonly detectable: number;
}

const PATTERN_TEST =
  't test of the size fitted across the marks, weighted by cam offsets and spread, for the number of patterns tried (Bonferroni)';

export const FINDING_THRESHOLDS: { readonly [code in FindingCode]: FindingThreshold } = {
  'governor engagement': {
    effect: 'milliseconds by which the governed marks are off alike',
    unit: 'ms',
    practical: 1.5,
    significance: 0.01,
    firings: 3,
    marks: 3,
    least: 'three governed marks and one that is not, with three firings each',
    test: PATTERN_TEST,
    detectable: 2.2,
  },
  escapement: {
    effect: 'stops by which the governed marks are off alike, the others not',
    unit: 'EV',
    practical: 0.2,
    significance: 0.01,
    firings: 3,
    marks: 3,
    least: 'three governed marks and one that is not, with three firings each',
    test: PATTERN_TEST,
    detectable: 0.26,
  },
  pallet: {
    effect: 'stops by which the marks that use the pallet are off alike, the others not',
    unit: 'EV',
    practical: 0.2,
    significance: 0.01,
    firings: 3,
    marks: 2,
    least: 'two marks with the pallet and two without, with three firings each',
    test: PATTERN_TEST,
    detectable: 0.26,
  },
  'governor bypassed': {
    effect: 'stops by which the least short of the governed marks is too short',
    unit: 'EV',
    practical: 0.75,
    significance: 0.001,
    firings: 2,
    marks: 2,
    least: 'two governed marks with two firings each, and every governed mark that was fired is short',
    test: 't test at each governed mark; the largest of their probabilities counts',
    detectable: 0.94,
  },
  'slow marks erratic': {
    effect: 'spread (SD) of single firings at the slow governed marks taken together',
    unit: 'EV',
    practical: 0.08,
    significance: 0.001,
    firings: 3,
    marks: 2,
    least: 'two governed marks of 1/15 s or slower and two other marks, with three firings each',
    test: 'F test of the spread within the slow governed marks against that within the others',
    detectable: 0.1,
  },
  'gummed lubricant': {
    effect: 'stops by which the first firings after a rest are longer than the others of their marks',
    unit: 'EV',
    practical: 0.15,
    significance: 0.001,
    firings: 3,
    marks: 1,
    least: 'three firings after a rest, each at a mark with three others',
    test: 'one-sided t test of the mean difference, with the spread of the other firings',
    detectable: 0.17,
  },
  'blade drag': {
    effect: 'stops by which the fastest mark is slow, where all marks are longer by the same milliseconds',
    unit: 'EV',
    practical: 0.25,
    significance: 0.01,
    firings: 3,
    marks: 4,
    least: `four marks with three firings each; or ${LOW_PEAK.firings} firings at a mark, at least half of it, that reach less than ${100 * LOW_PEAK.share} % of the open level`,
    test: `${PATTERN_TEST}; a low peak is an observation`,
    detectable: 0.48,
  },
  'one mark off': {
    effect: 'stops by which one mark is off, the others not',
    unit: 'EV',
    practical: 0.3,
    significance: 0.01,
    firings: 3,
    marks: 4,
    least: 'four marks with three firings each',
    test: PATTERN_TEST,
    detectable: 0.5,
  },
  'neighbours equal': {
    effect:
      'difference in stops between neighbouring marks that should be a stop apart: equal within this margin',
    unit: 'EV',
    practical: 0.15,
    significance: 0.01,
    firings: 3,
    marks: 2,
    least: 'three firings at each of the two marks',
    test: 'equivalence by two one-sided t tests (Welch), for the number of pairs (Bonferroni)',
    detectable: 0.06,
  },
  'order inverted': {
    effect: 'stops by which a mark opens longer than its slower neighbour',
    unit: 'EV',
    practical: 0.1,
    significance: 0.001,
    firings: 3,
    marks: 2,
    least: 'three firings at each of the two marks',
    test: 'one-sided t test (Welch), for the number of pairs (Bonferroni)',
    detectable: 0.14,
  },
  'blade rebound': {
    effect: 'highest light of the rebound, mean over the firings that show one',
    unit: '% of the open light',
    practical: 5,
    significance: null,
    firings: 3,
    marks: 1,
    least: 'three firings with a rebound, at least a quarter of those read',
    test: 'observation: each firing shows it above 3 % or five times its noise',
    detectable: 5.2,
  },
  'steady glow': {
    effect: 'light that stays on after closing, mean over the firings that show it',
    unit: '% of the open light',
    practical: 1.5,
    significance: null,
    firings: 3,
    marks: 1,
    least: 'three firings with light left after closing, at least a quarter of those read',
    test: 'observation: dark after the firing against dark before it, above 1 % and the noise of a sample',
    detectable: 1.6,
  },
  'all marks off': {
    effect: 'stops by which all marks are off alike',
    unit: 'EV',
    practical: 0.2,
    significance: 0.01,
    firings: 3,
    marks: 4,
    least: 'four marks with three firings each',
    test: PATTERN_TEST,
    detectable: 0.26,
  },
  'drift over the series': {
    effect: 'change in stops from the first firing of the stage to the last',
    unit: 'EV',
    practical: 0.3,
    significance: 0.002,
    firings: 3,
    marks: 3,
    least: 'three marks with three firings each',
    test: 't test of the slope of the deviations from the marks’ own means against the order of firing',
    detectable: 0.45,
  },
  'bench and body differ': {
    effect: 'largest difference in stops between the means of a mark in the body and out of it',
    unit: 'EV',
    practical: 0.1,
    significance: 0.002,
    firings: 3,
    marks: 1,
    least: 'a mark with three firings in the body and three bare or with the front plate fastened',
    test: 't test at each mark, for the number of marks (Bonferroni)',
    detectable: 0.11,
  },
  'B or T hangs': {
    effect: 'firings at B or T that never closed, or closed sooner than a hand can let go',
    unit: 'firings',
    practical: 2,
    significance: null,
    firings: 2,
    marks: 1,
    least: `two firings at B or T that never closed or lasted under ${1000 * SHORTEST_PRESS} ms; one recorded as stuck open`,
    test: 'observation',
    detectable: 2,
  },
};
