/** What is said of one mark in one stage, as strings for the results screen. */
import type { MarkResult, StageResult } from '../certificate/stage-results.ts';
import { DASH, errorText, sizeText, uncertaintyText } from '../certificate/stops-text.ts';
import type { Interval, Verdict } from '../judge/verdict.ts';
import { conformityWords, signedStops, spreadWords, verdictWords } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import { type Job, STAGES, type StageId } from '../record/job.ts';
import type { Sign } from './glyphs.tsx';

/** Stands for a figure that could not be had: DASH. */
export interface ResultFigures {
  readonly n: string;
  readonly mean: string;
  readonly fraction: string;
  readonly error: string;
  readonly meanInterval: string;
  readonly sd: string;
  readonly sdInterval: string;
  readonly nextShot: string;
  readonly conformity: string;
  readonly expanded: string;
  /** In a word or two; the size of the error stands beside it. */
  readonly verdict: string;
  readonly sign: Sign;
  readonly tone: 'within' | 'beyond' | 'quiet';
  readonly erratic: boolean;
  /** All of it in a sentence, for reading aloud and from afar. */
  readonly sentence: string;
}

const SHORT: Readonly<Partial<Record<Verdict, string>>> = {
  slow: 'slow',
  fast: 'fast',
  'conditional slow': 'conditional, slow',
  'conditional fast': 'conditional, fast',
  undecided: 'undecided',
  'no time': DASH,
};

const SIGNS: Readonly<Record<Verdict, Sign>> = {
  within: 'within',
  'conditional pass': 'within',
  slow: 'slow',
  'conditional slow': 'slow',
  fast: 'fast',
  'conditional fast': 'fast',
  undecided: 'asks',
  'too few': 'waiting',
  'did not fire': 'unwell',
  'stuck open': 'unwell',
  'not tried': 'waiting',
  'no time': 'waiting',
};

const BEYOND: ReadonlySet<Sign> = new Set<Sign>(['slow', 'fast', 'unwell']);

export const intervalWords = ({ lower, upper }: Interval): string =>
  `${signedStops(lower)} to ${signedStops(upper)}`;

/** Null where the mark was not touched in this stage. */
function resultFigures(result: MarkResult, job: Job): ResultFigures | null {
  if (!result.touched) return null;
  const { statistics, budget, judgement, least, speed } = result;
  const { n, meanTime, meanError, sd, sdInterval, meanInterval } = statistics;
  const { verdict, spread } = judgement;
  const whole = verdictWords(verdict, statistics, least, judgement.firingsNeeded);
  const sign = SIGNS[verdict];
  const figures = {
    n: String(n),
    mean: meanTime === null ? DASH : timeText(meanTime),
    fraction: meanTime === null ? DASH : shutterFraction(meanTime),
    error: meanError === null ? DASH : errorText(meanError, budget),
    meanInterval: meanInterval === null ? DASH : intervalWords(meanInterval),
    sd: sd === null ? DASH : sizeText(sd),
    sdInterval: sdInterval === null ? DASH : `${sizeText(sdInterval.lower)} to ${sizeText(sdInterval.upper)}`,
    nextShot: judgement.nextShot === null ? DASH : conformityWords(judgement.nextShot),
    conformity: judgement.conformity === null ? DASH : conformityWords(judgement.conformity),
    expanded: budget === null ? DASH : uncertaintyText(budget),
  };
  const said = [
    figures.fraction === figures.mean ? figures.mean : `${figures.mean} (${figures.fraction})`,
    meanError === null ? '' : `${figures.error} EV`,
    meanInterval === null ? '' : `95 % ${figures.meanInterval}`,
    verdict === 'too few' ? '' : `${n} ${n === 1 ? 'firing' : 'firings'}`,
  ].filter((part) => part !== '');
  const repeats =
    spread === 'steady' || spread === 'erratic' ? `, ${spreadWords(spread, sd, job.spreadLimit)}` : '';
  return {
    ...figures,
    verdict: SHORT[verdict] ?? (verdict === 'too few' ? whole.replace(/ firings?$/, '') : verdict),
    sign,
    tone: BEYOND.has(sign) ? 'beyond' : sign === 'within' ? 'within' : 'quiet',
    erratic: spread === 'erratic',
    sentence:
      verdict === 'no time'
        ? `${n} ${n === 1 ? 'firing' : 'firings'}; ${speed.label} has no time to compare with`
        : `${meanTime === null ? '' : `${said.join(', ')}: `}${whole}${repeats}`,
  };
}

/** A mark with what is said of it in each stage; null where it was not touched, or the stage is not looked at. */
export interface MarkFigures {
  readonly mark: string;
  readonly figures: { readonly [stage in StageId]: ResultFigures | null };
}

/** The marks that were touched in any of the stages given, in the order of the series. */
export function markFigures(job: Job, results: readonly StageResult[]): readonly MarkFigures[] {
  return job.series.speeds.flatMap(({ label }, index) => {
    const of = (stage: StageId) => {
      const result = results.find((one) => one.stage === stage)?.marks[index];
      return result ? resultFigures(result, job) : null;
    };
    const figures = {
      'as found': of('as found'),
      trials: of('trials'),
      'after rest': of('after rest'),
      'as left': of('as left'),
    };
    return STAGES.some((stage) => figures[stage]) ? [{ mark: label, figures }] : [];
  });
}
