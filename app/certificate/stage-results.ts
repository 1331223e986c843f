/** The readings of one stage, judged mark by mark with the functions that the screens use. */

import type { Seconds } from '../../firmware-protocol/units.ts';
import { whyNotCounted } from '../judge/counted-readings.ts';
import { referenceTime } from '../judge/error-in-stops.ts';
import { speedJudgement } from '../judge/speed-judgement.ts';
import { statisticsOf } from '../judge/speed-statistics.ts';
import { uncertaintyBudget } from '../judge/uncertainty-budget.ts';
import type {
  Band,
  Budget,
  MarkedSpeed,
  SpeedJudgement,
  SpeedStatistics,
  Verdict,
} from '../judge/verdict.ts';
import type { Job, Outcome, StageId } from '../record/job.ts';
import type { CertifiedFiring } from './certificate.ts';

export interface MarkResult {
  readonly speed: MarkedSpeed;
  /** Time the mark is compared with; null for B and T. */
  readonly reference: Seconds | null;
  readonly band: Band;
  readonly statistics: SpeedStatistics;
  /** Null below two counted firings, and for B and T. */
  readonly budget: Budget | null;
  /** As recorded by the user; a mark without any firing counts as not tried. */
  readonly outcome: Outcome | null;
  readonly judgement: SpeedJudgement;
  /** The judgement's. */
  readonly verdict: Verdict;
  readonly least: number;
  /** Firings of any kind, the uncounted ones too, or an outcome that the user recorded. */
  readonly touched: boolean;
}

export interface StageResult {
  readonly stage: StageId;
  /** In the order of firing. */
  readonly firings: readonly CertifiedFiring[];
  /** Whether anything at all was recorded at this stage. */
  readonly taken: boolean;
  /** In the order of the job's series. */
  readonly marks: readonly MarkResult[];
}

/** Results of marks by stage and label, with what they rest on: a mark that nothing was added to is not worked out again. */
export type KeptResults = Map<
  string,
  { readonly job: Job; readonly firings: readonly CertifiedFiring[]; readonly result: MarkResult }
>;

/** `firings` of any stage and in any order. `kept`: for whoever asks again with each firing. */
export function stageResult(
  job: Job,
  firings: readonly CertifiedFiring[],
  stage: StageId,
  kept: KeptResults = new Map(),
): StageResult {
  const own = firings.filter((firing) => firing.stage === stage).toSorted((a, b) => a.ordinal - b.ordinal);
  const marks = job.series.speeds.map((speed) => keptResult(job, own, stage, speed, kept));
  const taken = own.length > 0 || marks.some((mark) => mark.touched);
  return { stage, firings: own, taken, marks };
}

function keptResult(
  job: Job,
  stageFirings: readonly CertifiedFiring[],
  stage: StageId,
  speed: MarkedSpeed,
  kept: KeptResults,
): MarkResult {
  const key = `${stage} ${speed.label}`;
  const firings = stageFirings.filter((firing) => firing.mark === speed.label);
  const before = kept.get(key);
  const same =
    before?.job === job &&
    before.firings.length === firings.length &&
    firings.every((firing, i) => firing === before.firings[i]);
  if (same) return before.result;
  const result = markResult(job, firings, stage, speed);
  kept.set(key, { job, firings, result });
  return result;
}

function markResult(
  job: Job,
  firings: readonly CertifiedFiring[],
  stage: StageId,
  speed: MarkedSpeed,
): MarkResult {
  const recorded = job.stages[stage].outcomes[speed.label] ?? null;
  const outcome = recorded ?? (firings.length === 0 ? 'not tried' : null);
  const reference = referenceTime(speed, job.referenceRule);
  const statistics = statisticsOf(firings, reference);
  const budget = uncertaintyBudget({ statistics, readings: firings });
  const band = job.bands[speed.label] ?? job.band;
  const least = job.leastFirings[stage];
  const judgement = speedJudgement({
    mark: speed,
    statistics,
    budget,
    outcome,
    band,
    least,
    rule: job.decisionRule,
    spreadLimit: job.spreadLimit,
  });
  return {
    speed,
    reference,
    band,
    statistics,
    budget,
    outcome,
    judgement,
    verdict: judgement.verdict,
    least,
    touched: firings.length > 0 || recorded !== null,
  };
}

/** The firings that the figures rest on. */
export const countedFirings = (result: StageResult): readonly CertifiedFiring[] =>
  result.firings.filter((firing) => whyNotCounted(firing) === null);
