/** Work noted in the midst of a stage: its means then hold, or are, readings of another state of the shutter. */

import { markText } from '../judge/findings/wording.ts';
import type { WorkStep } from '../judge/work-step.ts';
import { workStepWords } from '../judge/work-step-words.ts';
import { capitalised } from './firing-notes.ts';
import { countedFirings, type StageResult } from './stage-results.ts';

/** Remarks of one stage: 'As left: read before the last work noted (governor out by 1 turn): 1/60 (8 of 10): …'. */
export function workAmidSentences(steps: readonly WorkStep[], result: StageResult): readonly string[] {
  const { stage } = result;
  const others = otherState(steps, result);
  if (others === null) return mixedSentences(steps, result);
  const list = others.marks.map(({ label, other, n }) => `${markText(label)} (${other} of ${n})`);
  const [when, which, state] =
    stage === 'as left' ? ['before', 'last', 'as it leaves'] : ['after', 'first', 'as it came'];
  return [
    `${capitalised(stage)}: read ${when} the ${which} work noted (${workStepWords(others.step)}): ${list.join(', ')}: counted, but they may not show the shutter ${state}.`,
  ];
}

/** The same in short, for the customer's page. */
export function workAmidNotice(steps: readonly WorkStep[], result: StageResult): readonly string[] {
  const others = otherState(steps, result);
  if (others === null) return [];
  const all = others.marks.length > 1 && others.marks.length === marksRead(result).length;
  const at = all ? 'all marks' : others.marks.map(({ label }) => markText(label)).join(', ');
  const when = result.stage === 'as left' ? 'after' : 'before';
  return [`Work was noted ${when} readings at ${at}: see the remarks overleaf.`];
}

interface OtherState {
  readonly step: WorkStep;
  readonly marks: readonly { readonly label: string; readonly other: number; readonly n: number }[];
}

/** As left, what was read before the last step; as found, what was read after the first; null where all is well. */
function otherState(steps: readonly WorkStep[], result: StageResult): OtherState | null {
  const inOrder = steps.toSorted((a, b) => a.afterFiring - b.afterFiring);
  const step = result.stage === 'as left' ? inOrder.at(-1) : inOrder[0];
  if (!step || (result.stage !== 'as left' && result.stage !== 'as found')) return null;
  const isOther = (ordinal: number) =>
    result.stage === 'as left' ? ordinal <= step.afterFiring : ordinal > step.afterFiring;
  const marks = marksRead(result).flatMap(({ label, ordinals }) => {
    const other = ordinals.filter(isOther).length;
    return other === 0 ? [] : [{ label, other, n: ordinals.length }];
  });
  return marks.length === 0 ? null : { step, marks };
}

/** Of trials and readings after a rest: the marks with firings on both sides of a step. */
function mixedSentences(steps: readonly WorkStep[], result: StageResult): readonly string[] {
  if (result.stage === 'as found' || result.stage === 'as left') return [];
  const mixed = marksRead(result).filter(({ ordinals }) =>
    steps.some(
      ({ afterFiring }) => Math.min(...ordinals) <= afterFiring && afterFiring < Math.max(...ordinals),
    ),
  );
  if (mixed.length === 0) return [];
  const list = mixed.map(({ label }) => markText(label)).join(', ');
  return [
    `${capitalised(result.stage)}: work was noted between the firings at ${list}: ${mixed.length === 1 ? 'the mean holds' : 'their means hold'} readings from before and after it.`,
  ];
}

function marksRead(result: StageResult) {
  const counted = countedFirings(result);
  return result.marks.flatMap(({ speed: { label } }) => {
    const ordinals = counted.filter(({ mark }) => mark === label).map(({ ordinal }) => ordinal);
    return ordinals.length === 0 ? [] : [{ label, ordinals }];
  });
}
