/** What the runner of the mutants and the kept tests say to each other. */

export const CHANNEL = 'leafclock-mutants';
/** Where the planted switches keep their state; it is Stryker's own name. */
export const NAMESPACE = '__stryker__';

/** How often each mutant was run through: while the tests were loaded, and by each of them. */
export interface Coverage {
  readonly static: Record<string, number>;
  readonly perTest: Record<string, Record<string, number>>;
}

export type Request =
  /** All tests once, counting what they run through; then once more as they are run for mutants, for their times. */
  | { readonly kind: 'count' }
  | { readonly kind: 'time' }
  | { readonly kind: 'mutant'; readonly mutant: string; readonly tests: readonly TestToRun[] }
  | { readonly kind: 'end' };

export interface TestToRun {
  readonly id: string;
  /** Run through more often than this, the mutant has made something endless. */
  readonly mostHits: number;
}

export type Answer =
  | { readonly kind: 'ready'; readonly problem: string | null; readonly tests: number }
  | { readonly kind: 'counted'; readonly coverage: Coverage }
  | { readonly kind: 'timed'; readonly results: readonly TimedTest[] }
  | { readonly kind: 'noticed'; readonly by: string; readonly failure: string; readonly count: number }
  | { readonly kind: 'missed'; readonly count: number }
  | { readonly kind: 'endless' }
  | { readonly kind: 'unfit'; readonly problem: string };

export interface TimedTest {
  readonly id: string;
  readonly failure: string | null;
  readonly milliseconds: number;
}
