/** Jobs out of this browser into one file. The parts that write files are loaded when they are wanted. */
import type { LocalRecord } from '../../record/database.ts';
import type { RecordOfFiles, WrittenJobFile } from '../../record/job-file.ts';
import type { Preferences } from '../../record/preferences.ts';
import { view } from '../view.ts';
import { asRecordOfFiles } from './data-import.ts';
import { plainName, saveFile } from './files.ts';
import { changesWritten } from './jobs.ts';
import { say } from './notices.ts';
import { preferencesWritten, savePreferences } from './preferences.ts';
import { unwrittenCount } from './readings.ts';
import { record } from './record.ts';

/** What a file is called that holds jobs: the ending by which the import's chooser finds it. */
export const JOB_FILE_ENDING = '.leafclock';

/**
 * Writes the jobs with these ids, or everything, and hands the file to the user. Resolves to its name.
 *
 * @throws Error with a sentence; nothing was handed out then.
 */
export async function exportJobs(
  ids: readonly string[] | 'everything',
  progress: (part: number) => void,
  signal: AbortSignal,
): Promise<string> {
  const dated = datedNow();
  const { file, leftOut } =
    ids === 'everything' ? await everything(dated, progress, signal) : await jobFile(ids, progress, signal);
  const name = fileName(ids);
  saveFile(name, file);
  // Only now: a file that was not handed out is no back-up.
  if (ids === 'everything') savePreferences(dated);
  for (const reason of leftOut) say(`Not in the file: ${reason}`, 'trouble');
  const waiting = unwrittenIn(ids);
  if (waiting > 0)
    say(
      `${waiting} ${waiting === 1 ? 'firing is' : 'firings are'} not recorded yet and not in the file. Record ${waiting === 1 ? 'it' : 'them'} on the bench and save the file again.`,
      'trouble',
    );
  return name;
}

type Dating = (preferences: Preferences) => Preferences;

function datedNow(): Dating {
  const last = new Date().toISOString();
  return (preferences) => ({ ...preferences, backUp: { ...preferences.backUp, last } });
}

/** The settings in the file know of it already, as those kept here will. */
async function everything(
  dated: Dating,
  progress: (part: number) => void,
  signal: AbortSignal,
): Promise<WrittenJobFile> {
  return write('everything', progress, signal, (kept) => ({
    ...asRecordOfFiles(kept),
    loadPreferences: async () => dated((await kept.loadPreferences()) ?? view.getState().preferences),
  }));
}

/** The file with all changes made so far. @throws RecordError or JobFileError */
export function jobFile(
  ids: readonly string[] | 'everything',
  progress: (part: number) => void = () => {},
  signal?: AbortSignal,
): Promise<WrittenJobFile> {
  return write(ids, progress, signal, (kept) => kept);
}

async function write(
  ids: readonly string[] | 'everything',
  progress: (part: number) => void,
  signal: AbortSignal | undefined,
  source: (kept: LocalRecord) => RecordOfFiles,
): Promise<WrittenJobFile> {
  await Promise.all([changesWritten(), preferencesWritten()]);
  const [{ writeJobFile }, kept] = await Promise.all([import('../../record/job-file.ts'), record()]);
  return writeJobFile(source(kept), ids, progress, signal);
}

function unwrittenIn(ids: readonly string[] | 'everything'): number {
  if (ids === 'everything') return unwrittenCount();
  return ids.reduce((sum, id) => sum + unwrittenCount(id), 0);
}

function fileName(ids: readonly string[] | 'everything'): string {
  const day = new Date().toLocaleDateString('sv-SE');
  const only = ids.length === 1 && ids !== 'everything' ? ids[0]! : null;
  if (only !== null) return jobFileName(only, day);
  return `leafclock-${ids === 'everything' ? 'everything' : 'jobs'}-${day}${JOB_FILE_ENDING}`;
}

/** The name of one job's file; with a day for a file that stands beside earlier ones. */
export function jobFileName(id: string, day = ''): string {
  const { jobs } = view.getState();
  const job = jobs.find((one) => one.id === id);
  // Jobs of another computer may have the same number, and neither copy must take the other's place.
  const shared = jobs.some((one) => one.id !== id && one.number === job?.number);
  const parts = [
    'job',
    plainName(job?.number ?? id),
    plainName(job?.camera.description ?? ''),
    shared ? plainName(id) : '',
    day,
  ];
  return `${parts.filter(Boolean).join('-')}${JOB_FILE_ENDING}`;
}
