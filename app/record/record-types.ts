import type { FiringRow } from './firing-row.ts';
import type { Job, Picture, Workshop } from './job.ts';
import type { JobSummary } from './job-summary.ts';
import type { KnownBoard, Preferences } from './preferences.ts';

/** The kinds of record that are kept, each in an envelope of its own. */
export interface RecordTypes {
  readonly job: Job;
  readonly firing: FiringRow;
  readonly picture: Picture;
  readonly workshop: Workshop;
  readonly preferences: Preferences;
  readonly 'known board': KnownBoard;
  /** The job the user had open last. */
  readonly 'open job': { readonly id: string };
  /** Drawn from the job and drawn again when it is of another version: never migrated, in no file. */
  readonly 'job summary': JobSummary;
}

export type RecordType = keyof RecordTypes;
