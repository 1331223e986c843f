/** The firings of a stage at one setting of the lever, mark by mark: the contact as screen and paper both judge it. */
import { type FlashSyncResult, flashSync, type LeadState, leadState } from '../judge/flash-sync.ts';
import type { MarkedSpeed } from '../judge/verdict.ts';
import type { Check, Job, StageId } from '../record/job.ts';
import type { CertifiedFiring } from './certificate.ts';

export interface FlashMark {
  readonly speed: MarkedSpeed;
  readonly result: FlashSyncResult;
  /** In the order of firing; those set aside are among them. */
  readonly firings: readonly FlashFiring[];
}

interface FlashFiring {
  readonly id: string;
  readonly ordinal: number;
  readonly firing: CertifiedFiring;
  /** This firing by itself. */
  readonly result: FlashSyncResult;
}

export interface FlashMarks {
  readonly marks: readonly FlashMark[];
  readonly leadNow: LeadState;
  /** The last test of the lead. */
  readonly lead: Extract<Check, { kind: 'contact lead' }> | null;
  /** Firings among them at which nobody had said where the lever stood: they are taken as X. */
  readonly notStated: number;
}

/**
 * Marks without a firing at this stage and setting are left out. Where nobody has said where the lever stood,
 * a firing is taken as X: most shutters without such a lever have X alone. `all`: every firing of the job, since
 * what is known of the lead doesn't end with a stage.
 */
export function flashMarks(
  job: Job,
  all: readonly CertifiedFiring[],
  stage: StageId,
  setting: FlashSyncResult['setting'],
): FlashMarks {
  const lead = job.checks.findLast((check) => check.kind === 'contact lead') ?? null;
  const leadNow = leadState(lead, all);
  const here = all.filter((firing) => firing.stage === stage && settingOf(firing) === setting);
  const judge = (readings: readonly CertifiedFiring[]) =>
    flashSync({ setting, flashDuration: job.flashDuration, leadWorks: leadNow === 'works', readings });
  const marks = job.series.speeds.flatMap((speed) => {
    const firings = here
      .filter(({ mark }) => mark === speed.label)
      .toSorted((a, b) => a.ordinal - b.ordinal)
      .map((firing) => ({ id: firing.id, ordinal: firing.ordinal, firing, result: judge([firing]) }));
    return firings.length === 0 ? [] : { speed, firings, result: judge(firings.map(({ firing }) => firing)) };
  });
  return { marks, leadNow, lead, notStated: here.filter(({ sync }) => sync === 'not stated').length };
}

const settingOf = ({ sync }: CertifiedFiring): FlashSyncResult['setting'] => (sync === 'M' ? 'M' : 'X');
