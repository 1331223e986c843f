/** For the customer: how many marks are well, and which are not. */

import { markText } from '../judge/findings/wording.ts';
import { jobVerdict } from '../judge/job-verdict.ts';
import type { SpreadVerdict } from '../judge/verdict.ts';
import { signed, spreadInStops } from '../judge/verdict-words.ts';
import type { WorkStep } from '../judge/work-step.ts';
import type { Section } from './certificate.ts';
import { capitalised } from './firing-notes.ts';
import { countedFirings, type MarkResult, type StageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';
import { workAmidNotice } from './work-amid-readings.ts';

/** `stages`: as found and as left; the later one comes first. */
export function resultSection(stages: readonly StageResult[], steps: readonly WorkStep[]): Section {
  const paragraphs = stages.some(({ taken }) => taken)
    ? stages.toReversed().map((stage) => stageSentences(stage, steps))
    : ['No shutter speed was read, neither as found nor as left.'];
  return { heading: 'Result', paragraphs, items: [] };
}

function stageSentences(result: StageResult, steps: readonly WorkStep[]): string {
  const { stage, taken, marks } = result;
  if (!taken) return `${capitalised(stage)}: no readings were taken.`;
  const timed = marks.filter((mark) => mark.speed.marked !== null);
  const within = timed.filter((mark) => mark.verdict === 'within').length;
  const groups = jobVerdict(
    timed.map(({ speed, verdict, judgement, statistics, least }) => ({
      label: markText(speed.label),
      verdict,
      statistics,
      least,
      firingsNeeded: judgement.firingsNeeded,
    })),
  );
  const rest = groups.filter(({ verdict }) => verdict !== 'within').map(({ sentence }) => sentence);
  return [
    `${capitalised(stage)}: ${within} of ${timed.length} marked speeds within ${timed.length === 1 ? 'its' : 'their'} band.`,
    ...rest,
    ...repeatSentences(timed),
    ...lightAfterClosingSentence(result),
    ...workAmidNotice(steps, result),
  ].join(' ');
}

/** Whether the shutter repeats, beside whether it is near its marks; nothing without a limit for the spread. */
function repeatSentences(marks: readonly MarkResult[]): readonly string[] {
  const of = (spread: SpreadVerdict) => marks.filter(({ judgement }) => judgement.spread === spread);
  const erratic = of('erratic');
  const told = erratic.length + of('steady').length;
  if (told === 0) return [];
  const list = erratic.map(
    ({ speed, statistics }) =>
      `${markText(speed.label)} (spread ${statistics.sd === null ? DASH : spreadInStops(statistics.sd)})`,
  );
  return [
    `Repeating: ${told - erratic.length} of ${told} ${told - erratic.length === 1 ? 'is' : 'are'} steady.`,
    ...(list.length === 0 ? [] : [`Erratic: ${list.join(', ')}.`]),
  ];
}

/** Light after closing of this much or more is said beside the verdicts: they leave it out, film does not. */
const LIGHT_AFTER_CLOSING = 0.1;

function lightAfterClosingSentence(result: StageResult): readonly string[] {
  const counted = countedFirings(result);
  const list = result.marks.flatMap(({ speed: { label } }) => {
    const added = counted.flatMap(({ mark, figures: { effective, effectiveWithRebound } }) =>
      mark === label && effective !== null && effectiveWithRebound !== null
        ? [Math.log2(effectiveWithRebound / effective)]
        : [],
    );
    const mean = added.reduce((sum, one) => sum + one, 0) / added.length;
    return mean >= LIGHT_AFTER_CLOSING ? [`${markText(label)} (${signed(mean, 2)} EV)`] : [];
  });
  if (list.length === 0) return [];
  return [
    `Light after closing adds to the exposure at ${list.join(', ')}: it is left out of times and verdicts.`,
  ];
}
