import type { FiringRow } from './firing-row.ts';
import type { Job, Picture } from './job.ts';

/** A whole job, as files hold it. */
export interface JobBundle {
  readonly job: Job;
  readonly firings: readonly FiringRow[];
  /** By id of the firing. A firing without an entry has lost its samples, or never had any. */
  readonly samples: ReadonlyMap<string, Uint8Array>;
  readonly pictures: readonly Picture[];
}
