import type { FiringRow } from './firing-row.ts';
import type { Job, Workshop } from './job.ts';

/** The kinds of record that are kept, each in an envelope of its own. */
export interface RecordTypes {
  readonly job: Job;
  readonly firing: FiringRow;
  readonly workshop: Workshop;
  /** The job the user had open last. */
  readonly 'open job': { readonly id: string };
}

export type RecordType = keyof RecordTypes;
