/** Where in its programme a stage stands, from its firings alone: nothing else has to be kept up to date. */
import type { Programme, ProgrammeStep } from './programme.ts';

export interface ProgrammePlace {
  /** Index of the present step; null: the programme is done. */
  readonly step: number | null;
  /** The present step itself; null when done. */
  readonly now: ProgrammeStep | null;
  /** Which firing of this step comes next, from 1 on, and how many it takes; 0 when done. */
  readonly firing: number;
  readonly of: number;
  /** The step that will follow the present one; null if it is the last. */
  readonly next: ProgrammeStep | null;
  /** Firings made and firings wanted, steps left out not among them. */
  readonly done: number;
  readonly total: number;
}

/**
 * The firings are given to the steps in the order of firing, each to the first step of its mark that still wants
 * one; what nobody wants is left over. The present step is the first that isn't full. So a firing that is moved to
 * another mark or set aside changes the place by itself, and a dial that was turned too early loses nothing.
 *
 * `counted`: the firings of this stage that count, in any order. `skipped`: indices of steps that the user left
 * out. Such a step takes no firing: what was fired for it counts for a later step of the same mark.
 */
export function programmePlace(
  { steps }: Pick<Programme, 'steps'>,
  counted: readonly { readonly mark: string; readonly ordinal: number }[],
  skipped: readonly number[],
): ProgrammePlace {
  const leftOut = new Set(skipped);
  const wanted = steps.map(({ firings }, index) => (leftOut.has(index) ? 0 : firings));
  const given = steps.map(() => 0);
  const isFull = (index: number) => given[index]! >= wanted[index]!;
  for (const { mark } of counted.toSorted((a, b) => a.ordinal - b.ordinal)) {
    const index = steps.findIndex((step, i) => step.mark === mark && !isFull(i));
    if (index >= 0) given[index]!++;
  }
  const open = steps.flatMap((_, index) => (isFull(index) ? [] : [index]));
  const sum = (counts: readonly number[]) => counts.reduce((total, count) => total + count, 0);
  const [step = null, following = null] = open;
  return {
    step,
    now: step === null ? null : steps[step]!,
    firing: step === null ? 0 : given[step]! + 1,
    of: step === null ? 0 : wanted[step]!,
    next: following === null ? null : steps[following]!,
    done: sum(given),
    total: sum(wanted),
  };
}
