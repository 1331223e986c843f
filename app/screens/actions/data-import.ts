/**
 * Jobs out of a file into this browser: the file is read to its end, then compared with what is here, and only
 * when the user has seen what would come of it is anything changed.
 */
import type { LocalRecord } from '../../record/database.ts';
import type { Workshop } from '../../record/job.ts';
import type { JobBundle } from '../../record/job-bundle.ts';
import type { ImportReport, JobFile, RecordOfFiles } from '../../record/job-file.ts';
import { type JobSummary, summaryOf } from '../../record/job-summary.ts';
import type { Preferences } from '../../record/preferences.ts';
import { RecordError } from '../../record/record-error.ts';
import { view } from '../view.ts';
import { holdJob } from './job-lock.ts';
import { barringJobs, changesWritten, openInTurn } from './jobs.ts';
import { lookAtJobs } from './jobs-list.ts';
import { loadPreferences, loadWorkshop, preferencesWritten } from './preferences.ts';
import { unwrittenCount } from './readings.ts';
import { record } from './record.ts';
import { undoable } from './undo.ts';

type Progress = (part: number) => void;

/** A file that was found whole, with what would come of it if what differs were kept. */
export interface ReadFile {
  readonly file: JobFile;
  readonly preview: ImportReport;
}

const jobFiles = () => import('../../record/job-file.ts');

/**
 * Reads a file and compares it with what is here. Changes nothing.
 *
 * @throws JobFileError with the reason why it can't be imported; RecordError
 */
export async function readForImport(blob: Blob, progress: Progress, signal: AbortSignal): Promise<ReadFile> {
  await Promise.all([changesWritten(), preferencesWritten()]);
  const { readJobFile, importJobFile } = await jobFiles();
  const file = await readJobFile(blob, (part) => progress(part / 2), signal);
  const kept = await record();
  const compare = (part: number) => progress((1 + part) / 2);
  const preview = await importJobFile(await looksOnly(kept), file, 'keep', compare, signal);
  return { file, preview };
}

/** The record behind glass: it answers as it would, and nothing is written. */
async function looksOnly(kept: LocalRecord): Promise<RecordOfFiles> {
  const { jobs, unreadable } = await kept.listJobs();
  const here = new Set([...jobs, ...unreadable].map(({ id }) => id));
  const added: JobSummary[] = [];
  return {
    ...asRecordOfFiles(kept),
    listJobs: async () => ({ jobs: [...jobs, ...added], unreadable }),
    addBundle: async (bundle) => {
      // A job that is here is compared by the record itself, which keeps it.
      if (here.has(bundle.job.id)) return kept.addBundle(bundle, 'keep');
      added.push(summaryOf(bundle.job));
      return 'added';
    },
    saveWorkshop: async () => {},
    savePreferences: async () => {},
    noteBoard: async (board) => board,
  };
}

export const asRecordOfFiles = (kept: LocalRecord): RecordOfFiles => ({
  listJobs: () => kept.listJobs(),
  loadBundle: (id) => kept.loadBundle(id),
  addBundle: (bundle, differing) => kept.addBundle(bundle, differing),
  loadWorkshop: () => kept.loadWorkshop(),
  saveWorkshop: (workshop) => kept.saveWorkshop(workshop),
  loadPreferences: () => kept.loadPreferences(),
  savePreferences: (preferences) => kept.savePreferences(preferences),
  loadBoards: () => kept.loadBoards(),
  noteBoard: (board) => kept.noteBoard(board),
});

/**
 * Takes the file in. What was replaced can be taken back.
 *
 * @throws JobFileError 'failed' with how far it came: the jobs before are whole, and can be taken back as well.
 */
export async function importFile(
  { file }: ReadFile,
  differing: 'keep' | 'replace',
  progress: Progress,
  signal: AbortSignal,
): Promise<ImportReport> {
  await preferencesWritten();
  const replaced: Replaced = { bundles: [], workshop: null, preferences: null };
  const { importJobFile } = await jobFiles();
  return barringJobs(async () => {
    try {
      return await importJobFile(guarded(await record(), replaced), file, differing, progress, signal);
    } finally {
      // Also where it broke off: what was replaced by then is replaced.
      await showAnew(replaced);
      // Only now: opening a replaced job anew forgets all steps that were done to it before.
      if (replaced.bundles.length > 0 || replaced.workshop || replaced.preferences)
        undoable('what the import replaced', () => barringJobs(() => putBack(replaced)));
    }
  });
}

/** What an import has written over, as it was before. */
interface Replaced {
  readonly bundles: JobBundle[];
  workshop: Workshop | null;
  preferences: Preferences | null;
}

async function putBack(replaced: Replaced): Promise<void> {
  const kept = await record();
  for (const bundle of replaced.bundles) await kept.addBundle(bundle, 'replace');
  if (replaced.workshop) await kept.saveWorkshop(replaced.workshop);
  if (replaced.preferences) await kept.savePreferences(replaced.preferences);
  await showAnew(replaced);
}

/** A job that is replaced must be open nowhere else, and have nothing that is not recorded; what is written over is remembered. */
function guarded(kept: LocalRecord, replaced: Replaced): RecordOfFiles {
  return {
    ...asRecordOfFiles(kept),
    // What can't be read is replaced all the same, but can't be brought back.
    saveWorkshop: async (workshop) => {
      const before = await kept.loadWorkshop().catch(() => null);
      await kept.saveWorkshop(workshop);
      replaced.workshop = before;
    },
    savePreferences: async (preferences) => {
      const before = await kept.loadPreferences().catch(() => null);
      await kept.savePreferences(preferences);
      replaced.preferences = before;
    },
    addBundle: async (bundle, differing) => {
      const outcome = await kept.addBundle(bundle, 'keep');
      if (outcome !== 'kept' || differing === 'keep') return outcome;
      const { id, number } = bundle.job;
      const refused = (why: string) => new RecordError('refused', `Job ${number} was not replaced: ${why}.`);
      if (unwrittenCount(id) > 0) throw refused('firings of it are not recorded yet');
      const hold = await holdJob(id);
      if (!hold) throw refused('it is open in another tab');
      try {
        const before = await kept.loadBundle(id).catch(() => null);
        const answer = await kept.addBundle(bundle, 'replace');
        if (before) replaced.bundles.push(before);
        return answer;
      } finally {
        hold.giveBack();
      }
    },
  };
}

/** The view follows what is kept now. */
async function showAnew({ bundles }: Pick<Replaced, 'bundles'>): Promise<void> {
  await lookAtJobs();
  await loadPreferences();
  await loadWorkshop();
  const open = view.getState().job?.id;
  if (bundles.some(({ job }) => job.id === open)) await openInTurn(open!);
}
