import { type LocalRecord, openRecord } from '../../record/database.ts';
import { RecordError } from '../../record/record-error.ts';
import { type StorageState, storageState } from '../../record/storage-state.ts';
import { view } from '../view.ts';
import { say } from './notices.ts';

let opening: Promise<LocalRecord> | null = null;

/** The record on this computer, opened once. Rejects with a RecordError when it can't be had. */
export function record(): Promise<LocalRecord> {
  opening ??= openRecord({
    notify: (notice) => {
      // The next use opens it anew, so that firings that wait can still be written.
      if (notice.kind === 'closed') opening = null;
      say(notice.sentence, 'trouble');
    },
  }).catch((error: Error) => {
    opening = null;
    view.setState({ recordTrouble: error.message, newerDatabase: isNewerDatabase(error) });
    throw error;
  });
  return opening;
}

/** The page says this one at its head as long as it is so (update-line.tsx): no message is needed besides. */
export const isNewerDatabase = (error: unknown): boolean =>
  error instanceof RecordError && error.kind === 'newer database';

export const storage = (): Promise<StorageState> => storageState(navigator.storage);
