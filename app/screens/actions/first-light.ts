/** The firing under way: what was so at its first light goes with it until it is filed. */
import type { ClockCorrection, ReferenceLevel } from '../../measure/figures.ts';
import type { Job, StageId } from '../../record/job.ts';
import { view } from '../view.ts';
import { setUpNumber } from './held-reference.ts';
import { lastRow } from './open-rows.ts';

/** What was so when the light came: the user may turn the dial, or open another job, before it is over. */
export interface Circumstances {
  readonly id: string;
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly ordinal: number;
  readonly at: string;
  readonly rest: number | null;
  /** The open level known then, and the number of the set-up it belongs to. */
  readonly reference: ReferenceLevel | null;
  readonly setUp: number;
  /** What was known of the board's clock then. */
  readonly clock: ClockCorrection | null;
}

let present: Circumstances | null = null;

/** Null when no light has come, or none that belongs to a job. */
export const presentFiring = (): Circumstances | null => present;

/** Another connection: what was half seen on the old one is no firing of the new one. */
export function forgetPresent(): void {
  present = null;
}

/** First light: notes which job, stage and mark the firing will belong to. */
export function lightCame(): void {
  const { job, stage, mark, reference, clock } = view.getState();
  present = null;
  if (!job || mark === null) return;
  const before = lastRow();
  const now = new Date();
  present = {
    id: crypto.randomUUID(),
    job,
    stage,
    mark,
    ordinal: (before?.ordinal ?? 0) + 1,
    at: now.toISOString(),
    rest: before ? Math.max(0, (now.getTime() - Date.parse(before.at)) / 1000) : null,
    reference: reference.held,
    setUp: setUpNumber(),
    clock,
  };
}
