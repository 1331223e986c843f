/** What each piece of work did to each speed: the firings after it against those before it. */
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { type Seconds, type Stops, stops } from '../../firmware-protocol/units.ts';
import { referenceTime } from './error-in-stops.ts';
import { bothTails, combinedVariance, type Variance } from './findings/student-test.ts';
import { type GovernorAnswer, governorAnswer } from './governor-suggestion.ts';
import { holmAdjusted } from './holm.ts';
import type { ShutterProfile } from './set-up.ts';
import type { Interval, ReferenceRule, Series } from './verdict.ts';
import {
  type MeanError,
  meanErrorOf,
  type Shot,
  shotsOf,
  stateKey,
  unlikeIn,
  type WorkReading,
  workSegments,
} from './work-segments.ts';
import type { WorkStep } from './work-step.ts';

/**
 * `significance`: largest chance that any mark of a group shows a change though nothing changed (Holm). `practical`:
 * least change worth acting on, in stops; own choice, no source.
 */
export const EFFECT_LIMITS = { significance: 0.05, practical: 0.1 } as const;

interface Side {
  readonly n: number;
  readonly meanError: Stops;
  /** Standard deviation of the firings; null with fewer than two. */
  readonly sd: Stops | null;
}

export interface MarkEffect {
  readonly label: string;
  readonly before: Side;
  readonly after: Side;
  /** Of the mean, after less before: positive is longer. */
  readonly change: Stops;
  /** 95 % interval of the change, for this mark by itself (Welch); null with fewer than two firings on either side. */
  readonly interval: Interval | null;
  /** Chance of such a change if nothing changed, raised for the number of marks (Holm); null without an interval. */
  readonly probability: number | null;
  readonly significant: boolean;
  /** At least EFFECT_LIMITS.practical. */
  readonly large: boolean;
  /** In what the shutter stood otherwise before than after ('mounting' …): then it need not come from the work. */
  readonly unlike: readonly string[];
}

export interface WorkEffect {
  /** Steps with no counted firing in between, oldest first: what they did can't be told apart. */
  readonly steps: readonly WorkStep[];
  /** Marks with counted firings before and after, in the order of the series. */
  readonly marks: readonly MarkEffect[];
  /** The other timed marks. */
  readonly notCompared: readonly {
    readonly label: string;
    readonly missing: 'before' | 'after' | 'before and after';
  }[];
  /** Over all marks compared; empty if the shutter stood alike. */
  readonly unlike: readonly string[];
  /** How much more of the governor the readings suggest, or why they suggest nothing; null where no governor step asks. */
  readonly governor: GovernorAnswer | null;
}

export interface WorkInput {
  readonly steps: readonly WorkStep[];
  /** All firings of the job, of any stage and in any order. */
  readonly readings: readonly WorkReading[];
  readonly series: Series;
  readonly referenceRule: ReferenceRule;
  readonly profile: Pick<ShutterProfile, 'governed'>;
}

/** One for each group of steps, in the order of the work. Firings are compared up to the work before and after. */
export function workEffects({
  steps,
  readings,
  series,
  referenceRule,
  profile,
}: WorkInput): readonly WorkEffect[] {
  const references = new Map(
    series.speeds.flatMap((speed): [string, Seconds][] => {
      const reference = referenceTime(speed, referenceRule);
      return reference === null ? [] : [[speed.label, reference]];
    }),
  );
  const segments = workSegments(steps, shotsOf(readings, references));
  return segments.slice(1).map((segment, index) => {
    const before = segments[index]!.shots;
    const compared = [...references.keys()].map((label) => ({
      label,
      ...compare(
        before.filter(({ mark }) => mark === label),
        segment.shots.filter(({ mark }) => mark === label),
      ),
    }));
    const marks = withProbabilities(
      compared.flatMap(({ label, effect }) => (effect === null ? [] : [{ label, ...effect }])),
    );
    return {
      steps: segment.steps,
      marks,
      notCompared: compared.flatMap(({ label, missing }) => (missing === null ? [] : [{ label, missing }])),
      unlike: [...new Set(marks.flatMap(({ unlike }) => unlike))],
      governor: governorAnswer(segments.slice(0, index + 2), {
        governed: profile.governed,
        latest: index + 2 === segments.length,
      }),
    };
  });
}

type Change = Omit<MarkEffect, 'label' | 'probability' | 'significant'> & {
  readonly of: Variance | null;
};

type Compared =
  | { readonly effect: Change; readonly missing: null }
  | { readonly effect: null; readonly missing: WorkEffect['notCompared'][number]['missing'] };

function compare(allBefore: readonly Shot[], allAfter: readonly Shot[]): Compared {
  const [before, after] = alike(allBefore, allAfter);
  const was = meanErrorOf(before);
  const is = meanErrorOf(after);
  if (was === null || is === null) {
    const missing = was !== null ? 'after' : is !== null ? 'before' : 'before and after';
    return { effect: null, missing };
  }
  const change = stops(is.mean - was.mean);
  const of = differenceOf(was, is);
  return {
    effect: {
      before: sideOf(was),
      after: sideOf(is),
      change,
      of,
      interval: of && intervalOf(change, of),
      large: Math.abs(change) >= EFFECT_LIMITS.practical,
      unlike: unlikeIn([...before, ...after]),
    },
    missing: null,
  };
}

/** Shots in the state that has most of them on both sides; all of them where no state is on both. */
function alike(before: readonly Shot[], after: readonly Shot[]): readonly [readonly Shot[], readonly Shot[]] {
  const inState = (shots: readonly Shot[], key: string) =>
    shots.filter(({ assembly }) => stateKey(assembly) === key);
  const pairs = [...new Set(after.map(({ assembly }) => stateKey(assembly)))]
    .map((key) => [inState(before, key), inState(after, key)] as const)
    .filter(([was]) => was.length > 0)
    .toSorted((a, b) => Math.min(b[0].length, b[1].length) - Math.min(a[0].length, a[1].length));
  return pairs[0] ?? [before, after];
}

const sideOf = ({ n, mean, of }: MeanError): Side => ({
  n,
  meanError: stops(mean),
  sd: of && stops(Math.sqrt(of.variance * n)),
});

/** Unequal spreads before and after are the rule: gummed is erratic, cleaned is steady. So Welch, not pooled. */
function differenceOf(was: MeanError, is: MeanError): Variance | null {
  if (was.of === null || is.of === null) return null;
  return combinedVariance([
    { weight: 1, ...was.of },
    { weight: 1, ...is.of },
  ]);
}

function intervalOf(change: Stops, { variance, dof }: Variance): Interval {
  // Without any spread the quantile doesn't matter.
  const half = variance > 0 ? studentQuantile(0.975, dof) * Math.sqrt(variance) : 0;
  return { lower: stops(change - half), upper: stops(change + half) };
}

/** Raised for the number of marks that could be tested. */
function withProbabilities(changes: readonly (Change & { readonly label: string })[]): readonly MarkEffect[] {
  const tested = changes.flatMap(({ label, change, of }) =>
    of === null ? [] : [{ label, p: bothTails(change, of) }],
  );
  const raised = holmAdjusted(tested.map(({ p }) => p));
  const adjusted = new Map(tested.map(({ label }, index) => [label, raised[index]!]));
  return changes.map(({ of: _, ...rest }) => {
    const probability = adjusted.get(rest.label) ?? null;
    return {
      ...rest,
      probability,
      significant: probability !== null && probability <= EFFECT_LIMITS.significance,
    };
  });
}
