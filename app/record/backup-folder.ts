/**
 * The folder that receives copies of finished jobs, and the jobs that wait to be copied there. A handle to a
 * folder is no record: it means nothing on another computer, goes through no schema and into no file. So it has
 * a small database of its own, which may be lost without harm.
 */
import { type DBSchema, openDB } from 'idb';
import { asRecordError } from './record-error.ts';

export interface BackupFolder {
  readonly handle: FileSystemDirectoryHandle;
  /** Ids of finished jobs that could not be copied yet. */
  readonly waiting: readonly string[];
}

interface Stores extends DBSchema {
  folder: { key: string; value: BackupFolder };
}

const KEY = 'backup';

const open = (name: string) =>
  openDB<Stores>(name, 1, { upgrade: (database) => database.createObjectStore('folder') });

/** Null when none was chosen. @throws RecordError */
export async function loadBackupFolder(name = 'leafclock folder'): Promise<BackupFolder | null> {
  try {
    const database = await open(name);
    try {
      return (await database.get('folder', KEY)) ?? null;
    } finally {
      database.close();
    }
  } catch (error) {
    throw asRecordError(error, 'Which folder gets the copies could not be read.');
  }
}

/** Null: copies go nowhere any more. @throws RecordError */
export async function saveBackupFolder(
  folder: BackupFolder | null,
  name = 'leafclock folder',
): Promise<void> {
  try {
    const database = await open(name);
    try {
      if (folder) await database.put('folder', folder, KEY);
      else await database.delete('folder', KEY);
    } finally {
      database.close();
    }
  } catch (error) {
    throw asRecordError(error, 'Which folder gets the copies could not be kept.');
  }
}
