/** Copies of finished jobs in a folder of the user's choice. */
import { type BackupFolder, loadBackupFolder, saveBackupFolder } from '../../record/backup-folder.ts';
import type { Job } from '../../record/job.ts';
import type { JobSummary } from '../../record/job-summary.ts';
import { view } from '../view.ts';
import { jobFile, jobFileName } from './data-export.ts';
import { say } from './notices.ts';

/** 'asks': after a reload the browser wants to be asked again before it lets the page write there. */
export type FolderState =
  | { readonly kind: 'not offered' }
  | { readonly kind: 'none' }
  | { readonly kind: 'writes' | 'asks' | 'refused'; readonly name: string; readonly waiting: number };

const offered = () => 'showDirectoryPicker' in window;

export async function folderState(): Promise<FolderState> {
  const folder = await loadBackupFolder();
  if (!folder) return { kind: offered() ? 'none' : 'not offered' };
  const { handle, waiting } = folder;
  const permission = await handle.queryPermission({ mode: 'readwrite' });
  const kind = permission === 'granted' ? 'writes' : permission === 'prompt' ? 'asks' : 'refused';
  return { kind, name: handle.name, waiting: waiting.length };
}

/** Lets the user pick the folder; needs a click. Leaving the chooser changes nothing. */
export async function chooseFolder(): Promise<void> {
  let handle: FileSystemDirectoryHandle;
  try {
    handle = await window.showDirectoryPicker({ id: 'leafclock-copies', mode: 'readwrite' });
  } catch (error) {
    if ((error as Error).name === 'AbortError') return;
    throw new Error(`The browser gave no folder: ${(error as Error).message}`);
  }
  const before = await loadBackupFolder();
  await saveBackupFolder({ handle, waiting: before?.waiting ?? [] });
  await copyWaiting();
}

/** Asks the browser again to let the page write to the folder; needs a click. */
export async function askForFolder(): Promise<void> {
  const folder = await loadBackupFolder();
  if (folder && (await folder.handle.requestPermission({ mode: 'readwrite' })) === 'granted')
    await copyWaiting();
}

export const forgetFolder = (): Promise<void> => saveBackupFolder(null);

/** From now on each job that is finished is copied to the folder, one after the other. */
export function copyFinishedJobs(): void {
  let copying: Promise<void> = Promise.resolve();
  view.subscribe(({ jobs }, before) => {
    if (jobs === before.jobs) return;
    const finished = newlyFinished(jobs, before.jobs);
    if (finished.length > 0) copying = copying.then(() => copyWhenFinished(finished));
  });
}

/** Jobs that were in another state just before; one that has only just come onto the list was finished elsewhere. */
const newlyFinished = (now: readonly JobSummary[], before: readonly JobSummary[]): readonly string[] => {
  const states = new Map(before.map(({ id, state }) => [id, state]));
  return now.flatMap(({ id, state }) =>
    state === 'finished' && states.has(id) && states.get(id) !== 'finished' ? [id] : [],
  );
};

async function copyWhenFinished(ids: readonly string[]): Promise<void> {
  try {
    const folder = await loadBackupFolder();
    if (!folder) return;
    const waiting = [...folder.waiting.filter((id) => !ids.includes(id)), ...ids];
    await saveBackupFolder({ ...folder, waiting });
    if ((await folder.handle.queryPermission({ mode: 'readwrite' })) === 'granted') await copyWaiting();
    else
      say(
        `The job was not copied to the folder “${folder.handle.name}”: after a reload the browser wants to be asked again. Open Settings, “Data and back-up”.`,
        'trouble',
      );
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}

/** Copies what waits; what can't be copied goes on waiting. */
async function copyWaiting(): Promise<void> {
  const folder = await loadBackupFolder();
  if (!folder) return;
  const left: string[] = [];
  const copied: string[] = [];
  const reasons = new Set<string>();
  for (const id of folder.waiting) {
    try {
      const name = await copyJob(folder.handle, id);
      if (name !== null) copied.push(name);
    } catch (error) {
      // One job that can't be copied must not keep the others from it.
      left.push(id);
      reasons.add((error as Error).message);
    }
  }
  for (const reason of reasons)
    say(
      `The copy could not be written to the folder “${folder.handle.name}”: ${reason} It is tried again with the next finished job.`,
      'trouble',
    );
  await saveBackupFolder(remaining(await loadBackupFolder(), folder, left));
  if (copied.length > 0) say(`Copied to the folder “${folder.handle.name}”: ${copied.join(', ')}.`);
}

/** What another tab has added meanwhile stays. */
const remaining = (now: BackupFolder | null, before: BackupFolder, left: readonly string[]) =>
  now && { ...now, waiting: [...left, ...now.waiting.filter((id) => !before.waiting.includes(id))] };

/** Null for a job that is not there any more, or can't be read. The file appears whole or not at all: it is put in place when closed. */
async function copyJob(handle: FileSystemDirectoryHandle, id: Job['id']): Promise<string | null> {
  if (!view.getState().jobs.some((job) => job.id === id)) return null;
  const name = jobFileName(id);
  const { file, counts, leftOut } = await jobFile([id]);
  for (const reason of leftOut) say(`Not in the copy ${name}: ${reason}`, 'trouble');
  // An earlier copy of a job that can't be read any more is worth more than a file without it.
  if (counts.jobs === 0) return null;
  const entry = await handle.getFileHandle(name, { create: true });
  const writing = await entry.createWritable();
  await writing.write(file);
  await writing.close();
  return name;
}
