/** The first steps with the practice bench: what has been done of them is kept in this browser. */
import { keep, readKept } from './actions/kept-in-browser.ts';
import type { View } from './view.ts';

export const FIRST_STEPS = ['open', 'fire', 'next speed', 'certificate'] as const;
export type FirstStep = (typeof FIRST_STEPS)[number];

export interface FirstStepsState {
  readonly done: readonly FirstStep[];
  readonly dismissed: boolean;
}

/** So many at a speed, so that a verdict can be given. */
export const FIRINGS = 3;

const KEY = 'leafclock.first-steps';

export function loadFirstSteps(): FirstStepsState {
  try {
    const kept = JSON.parse(readKept(KEY) ?? '{}') as Partial<FirstStepsState>;
    const done = Array.isArray(kept.done) ? kept.done : [];
    return { done: FIRST_STEPS.filter((step) => done.includes(step)), dismissed: kept.dismissed === true };
  } catch {
    return { done: [], dismissed: false };
  }
}

export function saveFirstSteps(state: FirstStepsState): void {
  keep(KEY, JSON.stringify(state));
}

/** The steps that are done as things stand, besides those done before. */
export function stepsDone(
  { session, source, job, readings }: Pick<View, 'session' | 'source' | 'job' | 'readings'>,
  before: readonly FirstStep[],
): readonly FirstStep[] {
  const firings = new Map<string, number>();
  for (const { mark, stage, kept, spoilt } of readings) {
    if (kept !== 'recorded' || spoilt !== null) continue;
    const key = `${stage} ${mark}`;
    firings.set(key, (firings.get(key) ?? 0) + 1);
  }
  const enough = [...firings.values()].filter((n) => n >= FIRINGS).length;
  const now: Readonly<Record<FirstStep, boolean>> = {
    open: source !== null && session.phase === 'live',
    fire: enough >= 1,
    'next speed': enough >= 2,
    certificate: job?.issued.some(({ kind }) => kind === 'certificate') ?? false,
  };
  return FIRST_STEPS.filter((step) => before.includes(step) || now[step]);
}
