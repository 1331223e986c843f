/** What a piece of work did, in words. They suggest; a change that isn't significant is never called one. */
import { countText, evText, marksText, signedEv } from './findings/wording.ts';
import {
  type GovernorAnswer,
  type GovernorSuggestion,
  type NoSuggestion,
  SUGGESTION_LIMITS,
} from './governor-suggestion.ts';
import { EFFECT_LIMITS, type MarkEffect, type WorkEffect } from './work-effects.ts';

/** '0.31 EV longer', '0.04 EV shorter, small', 'no change shown', 'too few firings to tell'. */
export function effectWords({ change, interval, significant, large }: MarkEffect): string {
  if (interval === null) return 'too few firings to tell';
  if (!significant) return 'no change shown';
  const words = `${evText(change)} ${change > 0 ? 'longer' : 'shorter'}`;
  return large ? words : `${words}, small`;
}

/** '+0.20 to +0.42 EV', or a dash. */
export const effectInterval = ({ interval }: MarkEffect): string =>
  interval === null ? '–' : `${signedEv(interval.lower).replace(' EV', '')} to ${signedEv(interval.upper)}`;

/** What holds for the whole group: how it was compared, what could not be, and what the governor asks for. */
export function workEffectSentences(effect: WorkEffect): readonly string[] {
  const { steps, marks } = effect;
  return [
    ...(steps.length > 1 && marks.length > 0
      ? [
          `There was no firing between these ${countText(steps.length, 'step')}: what each did can’t be told apart.`,
        ]
      : []),
    ...unlikeSentence(effect),
    ...notComparedSentences(effect),
    ...(effect.governor === null ? [] : [governorSentence(effect.governor)]),
  ];
}

function unlikeSentence({ unlike, marks }: WorkEffect): readonly string[] {
  if (unlike.length === 0) return [];
  const affected = marks.filter((mark) => mark.unlike.length > 0);
  return [
    `At ${marksText(affected)} the shutter stood otherwise after this work than before it (${unlike.join(', ')}): a change need not come from the work.`,
  ];
}

function notComparedSentences({ notCompared, marks }: WorkEffect): readonly string[] {
  if (marks.length === 0) return ['No mark was fired both before and after it: what it did is not known.'];
  return (['before', 'after', 'before and after'] as const).flatMap((missing) => {
    const missed = notCompared.filter((mark) => mark.missing === missing);
    if (missed.length === 0) return [];
    const when = missing === 'before and after' ? 'before or after it' : `${missing} it`;
    return [`Not fired ${when}, so not compared: ${marksText(missed)}.`];
  });
}

/** One sentence on the limits in use, to stand beside the figures. */
export const EFFECT_KEY = `Change of the mean in EV, + is longer, with its 95 % interval mark by mark (Welch). Called a change if it is significant at ${100 * EFFECT_LIMITS.significance} % over all marks of the step (Holm), and small under ${evText(EFFECT_LIMITS.practical)} (our own limit).`;

const WHY_NOT: Readonly<Record<NoSuggestion, string>> = {
  'no amount': 'direction and amount are not noted for each step, or not in one unit',
  'other work': 'other work was done with it, and what the governor did can’t be told apart',
  'no readings': 'it takes two governed marks fired at least twice before and after',
  'unlike states': 'the governed marks were not fired in the same state of assembly before and after',
  'not significant': 'its effect on the governed marks is not significant',
  contrary:
    'the governed marks got faster where it went in, or slower where it went out; check the noted direction, and look at the governor again',
  'near enough': `the governed marks are within ${evText(SUGGESTION_LIMITS.error)} on average`,
  'not known well enough': 'the readings scatter too much to tell how far or which way',
  'too far': `it would take more than ${SUGGESTION_LIMITS.reach} times what was tried, and that far the readings say nothing`,
  'later work': 'the shutter was worked on again since',
};

export function governorSentence(answer: GovernorAnswer): string {
  if (answer.kind === 'none')
    return `No further adjustment of the governor is suggested: ${WHY_NOT[answer.why]}.`;
  return suggestionSentence(answer);
}

function suggestionSentence(answer: GovernorSuggestion): string {
  const { marks, unit, perUnit, perUnitInterval, meanError, direction, amount, from, to } = answer;
  const names = marksText(marks.map((label) => ({ label })));
  const per = `${signedEv(perUnit)} (95 %: ${signedEv(perUnitInterval.lower)} to ${signedEv(perUnitInterval.upper)})`;
  const positions =
    answer.positions > 2 ? `, by a line through ${countText(answer.positions, 'position')}` : '';
  return `Counted in ${unit}, one further in changes ${names} by ${per} on average${positions}; they are now off by ${signedEv(meanError)}. That suggests about ${figure(amount)} ${unit} further ${direction} (95 %: ${figure(from)} to ${figure(to)}) to bring their mean to its marks, if it goes on evenly. Read again after it.`;
}

/** Two significant digits are more than enough for what a hand turns. */
const figure = (value: number) => String(Number(value.toPrecision(2)));
