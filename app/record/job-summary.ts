/** A job as lists show it. */
import type { Job, JobState } from './job.ts';

export interface JobSummary {
  readonly id: string;
  readonly number: string;
  readonly received: string;
  readonly state: JobState;
  /** When it got into this state. */
  readonly since: string;
  readonly customer: string;
  readonly camera: Job['camera'];
  readonly complaint: string;
  readonly invented: boolean;
  readonly removed: string | null;
}

export function summaryOf(job: Job): JobSummary {
  const { state, at } = job.states.at(-1)!;
  const { id, number, received, customer, camera, complaint, invented, removed } = job;
  return {
    id,
    number,
    received,
    state,
    since: at,
    customer: customer.name,
    camera,
    complaint,
    invented,
    removed,
  };
}
