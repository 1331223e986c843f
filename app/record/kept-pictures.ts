/** Pictures in the database, each under its job. */
import type { Picture } from './job.ts';
import type { RecordDatabase } from './layout.ts';
import { found, openJob, openPicture, sealPicture } from './stored-records.ts';
import { inTransaction } from './transaction.ts';

export function savePicture(database: RecordDatabase, picture: Picture): Promise<void> {
  const doing = 'The picture was not kept.';
  return inTransaction(database, ['jobs', 'pictures'], 'readwrite', doing, async (tx) => {
    const sealed = sealPicture(picture);
    found(await tx.objectStore('jobs').getKey(picture.jobId), 'job', picture.jobId);
    await tx.objectStore('pictures').add(sealed);
  });
}

export function loadPicture(database: RecordDatabase, id: string): Promise<Picture | null> {
  const doing = 'The picture could not be read.';
  return inTransaction(database, ['pictures'], 'readonly', doing, async (tx) => {
    const stored = await tx.objectStore('pictures').get(id);
    return stored === undefined ? null : openPicture(stored);
  });
}

export function dropUnusedPictures(database: RecordDatabase, jobId: string): Promise<void> {
  const doing = 'Deleted pictures were not cleared away.';
  return inTransaction(database, ['jobs', 'pictures'], 'readwrite', doing, async (tx) => {
    const job = openJob(found(await tx.objectStore('jobs').get(jobId), 'job', jobId));
    const used = new Set(job.notes.map(({ picture }) => picture));
    const pictures = tx.objectStore('pictures');
    const kept = await pictures.index('job').getAllKeys(jobId);
    await Promise.all(kept.filter((id) => !used.has(id)).map((id) => pictures.delete(id)));
  });
}
