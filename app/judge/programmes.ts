/** Programmes that are offered for a series, and what may be wrong with one of the user's own. */
import { countText, markText } from './findings/wording.ts';
import type { Programme } from './programme.ts';
import type { MarkedSpeed, Series } from './verdict.ts';

/** At the quick look. */
const QUICK_FIRINGS = 1;
/** More firings at one mark are surely a slip of the key. */
const MOST_FIRINGS = 100;
const MOST_STEPS = 200;

/**
 * Programmes over all timed marks of a series; B and T are fired by hand and are left to programmes of the
 * user's own. `least`: firings at each mark, so that a verdict can be given. Empty for a series without a time.
 */
export function defaultProgrammes(series: Series, least: number): readonly Programme[] {
  const timed = series.speeds.filter(({ marked }) => marked !== null);
  if (timed.length === 0) return [];
  const slowFirst = timed.toSorted((a, b) => b.marked! - a.marked!);
  const of = (marks: readonly MarkedSpeed[], firings: number) =>
    marks.map(({ label }) => ({ mark: label, firings }));
  return [
    { id: 'slow to fast', name: 'Slow to fast', steps: of(slowFirst, least) },
    { id: 'fast to slow', name: 'Fast to slow', steps: of(slowFirst.toReversed(), least) },
    { id: 'quick look', name: 'Quick look, one firing each', steps: of(slowFirst, QUICK_FIRINGS) },
  ];
}

/** What keeps a programme from being followed on this series, one sentence each; empty if nothing does. */
export function programmeProblems(
  { name, steps }: Pick<Programme, 'name' | 'steps'>,
  series: Series,
): readonly string[] {
  const problems: string[] = [];
  if (name.trim() === '') problems.push('The programme needs a name.');
  if (steps.length === 0) problems.push('The programme has no steps.');
  if (steps.length > MOST_STEPS) {
    problems.push(`The programme has ${steps.length} steps, more than ${MOST_STEPS}.`);
  }
  steps.forEach(({ mark, firings }, index) => {
    if (Number.isInteger(firings) && firings >= 1 && firings <= MOST_FIRINGS) return;
    problems.push(
      `Step ${index + 1} (${markText(mark)}): the number of firings must be a whole number from 1 to ${MOST_FIRINGS}, not ${firings}.`,
    );
  });
  const onRing = new Set(series.speeds.map(({ label }) => label));
  const missing = [...new Set(steps.map(({ mark }) => mark))].filter((mark) => !onRing.has(mark));
  if (missing.length > 0) {
    problems.push(
      `The series “${series.name}” has no ${missing.map(markText).join(', no ')}: ${countText(missing.length, 'mark')} of the programme can’t be fired on it.`,
    );
  }
  return problems;
}
