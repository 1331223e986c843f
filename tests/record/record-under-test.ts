import 'fake-indexeddb/auto';
import { LocalRecord } from '../../app/record/database.ts';
import { openLayout } from '../../app/record/layout.ts';
import { RecordError } from '../../app/record/record-error.ts';
import { sampleJob } from './sample-records.ts';

let names = 0;
export const freshName = () => `record-${++names}`;
export const silent = () => {};

/** A record with one job, and the bare database under it for looking and damaging. */
export async function open(name = freshName()) {
  const database = await openLayout(name, silent);
  const record = new LocalRecord(database);
  await record.saveJob(sampleJob());
  return { name, database, record };
}

export async function recordError(promise: Promise<unknown>): Promise<RecordError> {
  const outcome = await promise.then(
    () => new Error('Nothing was thrown.'),
    (error: unknown) => error,
  );
  if (outcome instanceof RecordError) return outcome;
  throw outcome;
}

export function thrownRecordError(act: () => unknown): RecordError {
  try {
    act();
  } catch (error) {
    if (error instanceof RecordError) return error;
    throw error;
  }
  throw new Error('Nothing was thrown.');
}
