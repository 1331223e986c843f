import { SHUTTER_CONDITIONS, type ShutterCondition } from '../../practice/conditions.ts';
import { PRACTICE_MARKS } from '../../practice/marks.ts';
import type { PracticeBench } from '../../practice/practice-bench.ts';
import type { PracticeState } from '../../practice/practice-core.ts';
import { view } from '../view.ts';

export const practiceConditions = SHUTTER_CONDITIONS;
export const practiceMarks = PRACTICE_MARKS.map((mark) => mark.label);

let bench: (() => PracticeBench | null) | null = null;

/** Holds the controls of the practice shutter for as long as its board is connected. */
export function takePractice(controls: (() => PracticeBench | null) | null): void {
  bench = controls;
  if (!controls) view.setState({ practice: null });
}

export function showPractice(state: PracticeState): void {
  view.setState({ practice: state });
}

export const pressRelease = (): void => bench?.()?.fire();
export const turnGovernor = (quarterTurns: number): void => bench?.()?.turnGovernor(quarterTurns);
export const freeBlades = (): void => bench?.()?.freeBlades();
export const setPracticeDial = (mark: string): void => bench?.()?.setDial(mark);
/** Turns the practice shutter's own dial by so many marks, stopping at its ends. */
export function stepPracticeDial(places: number): void {
  const at = practiceMarks.indexOf(view.getState().practice?.dial ?? '');
  const mark = practiceMarks[Math.min(practiceMarks.length - 1, Math.max(0, at + places))];
  if (mark !== undefined) setPracticeDial(mark);
}
export const setPracticeCondition = (condition: ShutterCondition): void => bench?.()?.setCondition(condition);
