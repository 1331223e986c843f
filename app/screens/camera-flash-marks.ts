/** The firings of a stage, mark by mark, as the contact is judged by them. */
import type { CertifiedFiring } from '../certificate/certificate.ts';
import { type FlashSyncResult, flashSync, leadWorks } from '../judge/flash-sync.ts';
import type { MarkedSpeed } from '../judge/verdict.ts';
import type { Check, Job, StageId } from '../record/job.ts';

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
  /** Whether the lead can be relied on: by its last test, or because the contact closed in a firing since. */
  readonly leadNow: 'works' | 'fails' | 'not known';
  /** The last test of the lead. */
  readonly lead: Extract<Check, { kind: 'contact lead' }> | null;
  /** Firings among them at which nobody had said where the lever stood: they are taken as X. */
  readonly notStated: number;
}

/**
 * Marks without a firing at this stage and setting are left out. Where nobody has said where the lever stood,
 * a firing is taken as X: most shutters without such a lever have X alone.
 */
export function flashMarks(
  job: Job,
  all: readonly CertifiedFiring[],
  stage: StageId,
  setting: 'X' | 'M',
): FlashMarks {
  const lead = job.checks.findLast((check) => check.kind === 'contact lead') ?? null;
  const works = leadWorks(lead?.result ?? null, all);
  const here = all.filter((firing) => firing.stage === stage && settingOf(firing) === setting);
  const judge = (readings: readonly CertifiedFiring[]) =>
    flashSync({ setting, flashDuration: job.flashDuration, leadWorks: works, readings });
  const marks = job.series.speeds.flatMap((speed) => {
    const firings = here
      .filter(({ mark }) => mark === speed.label)
      .toSorted((a, b) => a.ordinal - b.ordinal)
      .map((firing) => ({ id: firing.id, ordinal: firing.ordinal, firing, result: judge([firing]) }));
    return firings.length === 0 ? [] : { speed, firings, result: judge(firings.map(({ firing }) => firing)) };
  });
  return {
    marks,
    leadNow: leadNow(lead, all, works),
    lead,
    notStated: here.filter(({ sync }) => sync === 'not stated').length,
  };
}

const settingOf = ({ sync }: CertifiedFiring): 'X' | 'M' => (sync === 'M' ? 'M' : 'X');

function leadNow(
  lead: FlashMarks['lead'],
  all: readonly CertifiedFiring[],
  works: boolean,
): FlashMarks['leadNow'] {
  if (lead === null) return works ? 'works' : 'not known';
  if (lead.result.state === 'works' || lead.result.state === 'bounces') return 'works';
  const tested = Date.parse(lead.at);
  const closedSince = all.some(
    ({ figures, at }) => figures.contact?.closed != null && Date.parse(at) > tested,
  );
  return closedSince ? 'works' : 'fails';
}
