import {
  KEY_SECONDS,
  LARGEST_RANGE,
  type SelfTimerRemark,
  type SelfTimerResult,
  USUAL_RUN,
} from './self-timer.ts';

/** 'ran 9.8 s' or 'ran 9.8 s on average in 3 runs (SD 0.12 s, 9.7 to 9.9 s)'; an own sentence for no run at all. */
export function selfTimerSentence({ n, mean, sd, shortest, longest, byKey }: SelfTimerResult): string {
  if (mean === null || shortest === null || longest === null) return 'The self-timer has not been timed.';
  const digits = byKey > 0 ? 1 : 2;
  const time = (value: number) => value.toFixed(digits);
  if (n === 1 || sd === null) return `The self-timer ran ${time(mean)} s.`;
  return `The self-timer ran ${time(mean)} s on average in ${n} runs (SD ${sd.toFixed(2)} s, ${time(shortest)} to ${time(longest)} s).`;
}

const usual = `${USUAL_RUN.least} to ${USUAL_RUN.most} s`;

/** One sentence for a remark. */
export function selfTimerRemarkSentence(
  remark: SelfTimerRemark,
  { n, range, byKey }: SelfTimerResult,
): string {
  switch (remark) {
    case 'hesitates':
      return `Its runs differ by ${(range ?? 0).toFixed(1)} s, and ${LARGEST_RANGE} s is a lot (our own limit): it hesitates, which suggests dirt or old lubricant in its train.`;
    case 'short':
      return `It runs shorter than the usual ${usual} (common practice, no source): some are set so, or it is not wound all the way.`;
    case 'long':
      return `It runs longer than the usual ${usual} (common practice, no source): some are set so, or its train is dirty.`;
    case 'by key':
      return byKey === n
        ? `The release was told by a key, so that each time is good to ±${KEY_SECONDS} s.`
        : `For ${byKey} of ${n} runs the release was told by a key, so that these times are good to ±${KEY_SECONDS} s.`;
  }
}

/** Shown before the self-timer is run. */
export const SELF_TIMER_CAUTIONS: readonly string[] = [
  'Do not run the self-timer of a shutter that has not been serviced: it may stop half way and jam.',
  'Set the lever for flash to X first: at M the self-timer jams some shutters.',
];
