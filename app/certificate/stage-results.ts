/** The readings of one stage, judged mark by mark with the functions that the screens use. */

import { whyNotCounted } from '../judge/counted-readings.ts';
import { referenceTime } from '../judge/error-in-stops.ts';
import { statisticsOf } from '../judge/speed-statistics.ts';
import { speedVerdict } from '../judge/speed-verdict.ts';
import type { Band, MarkedSpeed, SpeedStatistics, Verdict } from '../judge/verdict.ts';
import type { Job, Outcome, StageId } from '../record/job.ts';
import type { CertifiedFiring } from './certificate.ts';

export interface MarkResult {
  readonly speed: MarkedSpeed;
  readonly band: Band;
  readonly statistics: SpeedStatistics;
  /** As recorded by the user; a mark without any firing counts as not tried. */
  readonly outcome: Outcome | null;
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

export function stageResult(job: Job, firings: readonly CertifiedFiring[], stage: StageId): StageResult {
  const own = firings.filter((firing) => firing.stage === stage).toSorted((a, b) => a.ordinal - b.ordinal);
  const marks = job.series.speeds.map((speed) => markResult(job, own, stage, speed));
  return { stage, firings: own, taken: own.length > 0 || marks.some((mark) => mark.touched), marks };
}

function markResult(
  job: Job,
  stageFirings: readonly CertifiedFiring[],
  stage: StageId,
  speed: MarkedSpeed,
): MarkResult {
  const firings = stageFirings.filter((firing) => firing.mark === speed.label);
  const recorded = job.stages[stage].outcomes[speed.label] ?? null;
  const outcome = recorded ?? (firings.length === 0 ? 'not tried' : null);
  const statistics = statisticsOf(firings, referenceTime(speed, job.referenceRule));
  const band = job.bands[speed.label] ?? job.band;
  const least = job.leastFirings[stage];
  return {
    speed,
    band,
    statistics,
    outcome,
    verdict: speedVerdict({ mark: speed, statistics, outcome, band, least }),
    least,
    touched: firings.length > 0 || recorded !== null,
  };
}

/** A mark inside a sentence: whole seconds with their unit, since 'Did not fire: 1' would read as a count. */
export const markInWords = (label: string): string => (/^\d+(\.\d+)?$/.test(label) ? `${label} s` : label);

/** The firings that the figures rest on. */
export const countedFirings = (result: StageResult): readonly CertifiedFiring[] =>
  result.firings.filter((firing) => whyNotCounted(firing) === null);
