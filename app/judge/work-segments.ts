/** The firings of a job between one piece of work and the next. */
import type { Seconds } from '../../firmware-protocol/units.ts';
import { judgedTime, type Reading, whyNotCounted } from './counted-readings.ts';
import type { Variance } from './findings/student-test.ts';
import { addValue, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import type { WorkStep } from './work-step.ts';

/** How the shutter stood, as far as it bears on its times; the record's states of assembly have this shape. */
export interface AssemblyState {
  readonly mounting: string;
  readonly cells: string;
  readonly iris: string;
  readonly release: string;
  readonly cocking: string;
  readonly attitude: string;
}

export interface WorkReading extends Reading {
  /** Label of the mark. */
  readonly mark: string;
  /** In the order of firing, over the whole job. */
  readonly ordinal: number;
  readonly assembly: AssemblyState;
}

/** A counted firing at a timed mark. */
export interface Shot {
  readonly mark: string;
  readonly ordinal: number;
  /** Stops against the mark; positive is slow. */
  readonly error: number;
  readonly assembly: AssemblyState;
}

/** Work with no counted firing in between, which can't be told apart; and the firings after it, up to the next work. */
export interface Segment {
  /** Oldest first; empty for the first segment alone. */
  readonly steps: readonly WorkStep[];
  readonly shots: readonly Shot[];
}

/** In the order of firing. `references`: by label, of the marks that have a time. */
export function shotsOf(
  readings: readonly WorkReading[],
  references: ReadonlyMap<string, Seconds>,
): readonly Shot[] {
  return readings
    .flatMap((reading): Shot[] => {
      const reference = references.get(reading.mark);
      const time = judgedTime(reading.figures);
      if (reference === undefined || time === null || whyNotCounted(reading) !== null) return [];
      const { mark, ordinal, assembly } = reading;
      return [{ mark, ordinal, error: Math.log2(time / reference), assembly }];
    })
    .toSorted((a, b) => a.ordinal - b.ordinal);
}

/** The first segment holds what was fired before any work. */
export function workSegments(steps: readonly WorkStep[], shots: readonly Shot[]): readonly Segment[] {
  const ordered = steps.toSorted((a, b) => a.afterFiring - b.afterFiring || byTime(a, b));
  const groups: WorkStep[][] = [];
  for (const step of ordered) {
    const group = groups.at(-1);
    const last = group?.at(-1);
    if (group && last && !firedBetween(shots, last.afterFiring, step.afterFiring)) group.push(step);
    else groups.push([step]);
  }
  // What was fired while a group's work went on did not count, or the group would have been two.
  const start = (group: readonly WorkStep[]) => group.at(-1)!.afterFiring;
  const starts = [Number.NEGATIVE_INFINITY, ...groups.map(start), Number.POSITIVE_INFINITY];
  return [[], ...groups].map((group, index) => ({
    steps: group,
    shots: shots.filter(({ ordinal }) => ordinal > starts[index]! && ordinal <= starts[index + 1]!),
  }));
}

/** Time stamps are written in UTC, so that their letters sort as they do. */
const byTime = (a: WorkStep, b: WorkStep) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0);

const firedBetween = (shots: readonly Shot[], after: number, upTo: number) =>
  shots.some(({ ordinal }) => ordinal > after && ordinal <= upTo);

const PROPERTIES = ['mounting', 'cells', 'iris', 'release', 'cocking', 'attitude'] as const;

/** Equal for like states. */
export const stateKey = (assembly: AssemblyState): string =>
  JSON.stringify(PROPERTIES.map((property) => assembly[property].trim().toLowerCase()));

/** What is not the same throughout, in plain words. */
export const unlikeIn = (shots: readonly Shot[]): readonly string[] =>
  PROPERTIES.filter(
    (property) => new Set(shots.map(({ assembly }) => assembly[property].trim().toLowerCase())).size > 1,
  );

export interface MeanError {
  readonly n: number;
  readonly mean: number;
  /** Of the mean; null under two shots. */
  readonly of: Variance | null;
}

/** In stops; null without a shot. */
export function meanErrorOf(shots: readonly Shot[]): MeanError | null {
  const moments = shots.map(({ error }) => error).reduce(addValue, NO_MOMENTS);
  const { n, mean } = moments;
  if (n === 0) return null;
  const sd = standardDeviation(moments);
  return { n, mean, of: sd === null ? null : { variance: sd ** 2 / n, dof: n - 1 } };
}
