/**
 * Jobs and firings as they are kept on this computer, in IndexedDB: the one face of it all, with the work done in
 * kept-*.ts, job-list.ts and known-boards.ts. Every function that writes resolves only after the commit, so that
 * what is shown as recorded is recorded. Nothing is deleted but a job that was taken off the list before, or is
 * replaced from a file on request: a firing is moved or set aside, and each change gives back what undoes it.
 */
import type { FiringRow } from './firing-row.ts';
import type { FiringRecord, Job, Picture, Workshop } from './job.ts';
import type { JobBundle } from './job-bundle.ts';
import { type JobList, listJobs } from './job-list.ts';
import { type Added, addBundle, type LoadedBundle, loadBundle } from './kept-bundles.ts';
import { addFiring, changeFiring, loadFirings, loadSamples } from './kept-firings.ts';
import { eraseJob, loadJob, nextJobNumber, saveJob } from './kept-jobs.ts';
import { dropUnusedPictures, loadPicture, savePicture } from './kept-pictures.ts';
import { loadSetting, saveSetting } from './kept-settings.ts';
import { loadBoards, noteBoard } from './known-boards.ts';
import { type ConnectionNotice, openLayout, type RecordDatabase } from './layout.ts';
import type { KnownBoard, Preferences } from './preferences.ts';
import { type Change, requireMark, type Unreadable } from './stored-records.ts';

export interface RecordOptions {
  /** Name of the database; tests use their own. */
  readonly name?: string;
  /** Told when another tab is in the way, or this one is, or the browser cut the connection. */
  readonly notify?: (notice: ConnectionNotice) => void;
}

/**
 * Opens the record; pending while an older tab blocks it (see notify).
 *
 * @throws RecordError 'unavailable', 'newer database', 'full' or 'failed'.
 */
export async function openRecord({ name = 'leafclock', notify = () => {} }: RecordOptions = {}) {
  return new LocalRecord(await openLayout(name, notify));
}

/** Every method may reject with a RecordError, whose message is a sentence for the user. */
export class LocalRecord {
  readonly #database: RecordDatabase;

  constructor(database: RecordDatabase) {
    this.#database = database;
  }

  close(): void {
    this.#database.close();
  }

  /**
   * Adds a job or replaces it. Resolves to the job as it was before, null for a new one. A job is taken off the
   * list by saving it with `removed`.
   *
   * @throws RecordError 'refused' also if a mark was left out that has firings: they would be in no list.
   */
  saveJob(job: Job): Promise<Job | null> {
    return saveJob(this.#database, job);
  }

  /** What lists show of all jobs, the one received last first, and beside it the jobs that can't be read. */
  listJobs(): Promise<JobList> {
    return listJobs(this.#database);
  }

  /** @throws RecordError 'missing', 'damaged' or 'newer record'. */
  loadJob(id: string): Promise<Job> {
    return loadJob(this.#database, id);
  }

  /**
   * Destroys a job with its firings, samples and pictures: all of it or, if it fails, nothing.
   *
   * @throws RecordError 'refused' for a job that was not taken off the list before, 'missing' for none.
   */
  eraseJob(id: string): Promise<void> {
    return eraseJob(this.#database, id);
  }

  /**
   * The next running number, as printed on papers: '0001', '0002' … Two tabs never get the same one, and none
   * that a job has already. A number taken for a job that is then not saved is left out.
   */
  nextJobNumber(): Promise<string> {
    return nextJobNumber(this.#database);
  }

  /**
   * Writes a firing and its samples in one transaction and resolves to the row once both are on disk.
   *
   * @throws RecordError 'missing' without its job, 'exists' for an id already taken, 'refused' if it isn't
   *   valid or its mark unknown, 'full', 'aborted' or 'closed' if the browser couldn't write. Then nothing was written.
   */
  addFiring(record: FiringRecord): Promise<FiringRow> {
    return addFiring(this.#database, record);
  }

  /** Rows of one job in the order of firing, without samples, and beside them what can't be read. */
  loadFirings(jobId: string): Promise<{ firings: readonly FiringRow[]; unreadable: readonly Unreadable[] }> {
    return loadFirings(this.#database, jobId);
  }

  /** @throws RecordError 'missing', or 'damaged' if their number is not the one the firing was stored with. */
  loadSamples(firingId: string): Promise<Uint8Array> {
    return loadSamples(this.#database, firingId);
  }

  /** Files a firing under another mark of its job. @throws RecordError 'refused' if the job has no such mark. */
  moveFiring(firingId: string, mark: string): Promise<Change<FiringRow>> {
    return changeFiring(this.#database, firingId, 'The firing was not moved.', (row, job) => {
      requireMark(job, mark);
      return row.mark === mark ? row : { ...row, mark, movedFrom: [...row.movedFrom, row.mark] };
    });
  }

  /** Leaves a firing out of the statistics for a reason, or with null takes it in again. It stays kept. */
  setAside(firingId: string, reason: string | null): Promise<Change<FiringRow>> {
    const change = (row: FiringRow) => ({ ...row, setAside: reason });
    return changeFiring(this.#database, firingId, 'The firing was not changed.', change);
  }

  /** Says that the shutter was exercised before a firing, so that it counts in spite of a rest, or takes it back. */
  setExercised(firingId: string, exercised: boolean): Promise<Change<FiringRow>> {
    const change = (row: FiringRow) => ({ ...row, exercised });
    return changeFiring(this.#database, firingId, 'The firing was not changed.', change);
  }

  /** Undoes moveFiring, setAside and setExercised: takes what they change from the row as it was, no more. */
  restoreFiring(previous: FiringRow): Promise<Change<FiringRow>> {
    const { mark, movedFrom, setAside, exercised } = previous;
    return changeFiring(this.#database, previous.id, 'The change was not undone.', (row, job) => {
      requireMark(job, mark);
      return { ...row, mark, movedFrom, setAside, exercised };
    });
  }

  /**
   * Keeps a picture under its job. A note that shows it names it by its id.
   *
   * @throws RecordError 'missing' without its job, 'exists' for an id already taken, 'refused' for one too large.
   */
  savePicture(picture: Picture): Promise<void> {
    return savePicture(this.#database, picture);
  }

  /** Null where there is none under the id. @throws RecordError 'damaged' or 'newer record'. */
  loadPicture(id: string): Promise<Picture | null> {
    return loadPicture(this.#database, id);
  }

  /** Destroys the pictures of a job that none of its notes names any more: what was deleted and can't be undone. */
  dropUnusedPictures(jobId: string): Promise<void> {
    return dropUnusedPictures(this.#database, jobId);
  }

  /** A job with all that is kept of it, for a file. @throws RecordError as loadJob. */
  loadBundle(jobId: string): Promise<LoadedBundle> {
    return loadBundle(this.#database, jobId);
  }

  /**
   * Takes a whole job in, in one transaction. What is kept already with the same content is left alone ('same').
   * Where the content differs, 'keep' changes nothing ('kept'); 'replace' makes it as in the bundle: firings and
   * pictures that only the job here has are gone then ('replaced').
   *
   * @throws RecordError 'refused' if something in it isn't valid, 'exists' if a firing or picture of another job
   *   has the same id, 'newer record' rather than replace what a newer Leafclock wrote. Then nothing was changed.
   */
  addBundle(bundle: JobBundle, differing: 'keep' | 'replace'): Promise<Added> {
    return addBundle(this.#database, bundle, differing);
  }

  saveWorkshop(workshop: Workshop): Promise<void> {
    return saveSetting(this.#database, 'workshop', workshop, 'The workshop was not saved.');
  }

  /** Null when none was saved yet. @throws RecordError 'damaged' or 'newer record'. */
  loadWorkshop(): Promise<Workshop | null> {
    return loadSetting(this.#database, 'workshop', 'The workshop could not be read.');
  }

  savePreferences(preferences: Preferences): Promise<void> {
    return saveSetting(this.#database, 'preferences', preferences, 'The settings were not saved.');
  }

  /** Null when none were saved yet. @throws RecordError as loadWorkshop. */
  loadPreferences(): Promise<Preferences | null> {
    return loadSetting(this.#database, 'preferences', 'The settings could not be read.');
  }

  /** Notes which job is open, so that it is taken up again after a crash. */
  saveOpenJob(id: string): Promise<void> {
    return saveSetting(this.#database, 'open job', { id }, 'Which job is open was not noted.');
  }

  /** Id of the job that was open last, null if there was none. @throws RecordError as loadWorkshop. */
  async loadOpenJob(): Promise<string | null> {
    const doing = 'The job that was open last could not be found.';
    return (await loadSetting(this.#database, 'open job', doing))?.id ?? null;
  }

  /**
   * Notes a board that is connected, and resolves to what is known of it now: a check that is null in `known` stays
   * as it was noted before.
   *
   * @throws RecordError 'damaged' or 'newer record' rather than write over an entry that can't be read.
   */
  noteBoard(known: KnownBoard): Promise<KnownBoard> {
    return noteBoard(this.#database, known);
  }

  /** The one seen last first, and beside them the entries that can't be read. */
  loadBoards(): Promise<{ boards: readonly KnownBoard[]; unreadable: readonly Unreadable[] }> {
    return loadBoards(this.#database);
  }
}
