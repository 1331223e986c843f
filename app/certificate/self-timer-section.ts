/** The self-timer on paper: its runs overleaf, what they come to on page 1. */

import { selfTimerResult } from '../judge/self-timer.ts';
import { selfTimerRemarkSentence, selfTimerSentence } from '../judge/self-timer-sentences.ts';
import type { Job } from '../record/job.ts';
import type { Section } from './certificate.ts';

type Timed = Pick<Job, 'selfTimer'>;

export const selfTimerTested = ({ selfTimer }: Timed): boolean => selfTimerResult(selfTimer).n > 0;

/** For the customer; what a key does to the times stands overleaf. */
export const selfTimerSummary = (job: Timed): readonly string[] => {
  if (!selfTimerTested(job)) return [];
  const result = selfTimerResult(job.selfTimer);
  const remarks = result.remarks.filter((remark) => remark !== 'by key');
  return [
    [selfTimerSentence(result), ...remarks.map((remark) => selfTimerRemarkSentence(remark, result))].join(
      ' ',
    ),
  ];
};

/** None where nothing was run. */
export function selfTimerSections({ selfTimer }: Timed): readonly Section[] {
  if (selfTimer.length === 0) return [];
  const result = selfTimerResult(selfTimer);
  const times = selfTimer.flatMap((run) => (run.setAside === null ? [`${run.seconds.toFixed(2)} s`] : []));
  const aside = selfTimer.flatMap((run) =>
    run.setAside === null
      ? []
      : [`${run.seconds.toFixed(2)} s (${run.setAside.trim() || 'no reason given'})`],
  );
  const remarks = result.remarks.map((remark) => selfTimerRemarkSentence(remark, result));
  return [
    {
      heading: 'Self-timer',
      paragraphs: [
        [
          `${selfTimerSentence(result)} From release to first light.`,
          ...(times.length > 1 ? [`Runs: ${times.join(', ')}.`] : []),
          ...(aside.length > 0 ? [`Set aside: ${aside.join(', ')}.`] : []),
          ...remarks,
        ].join(' '),
      ],
      items: [],
    },
  ];
}
