/**
 * Jobs and firings as they are kept on this computer, in IndexedDB. Every function that writes resolves
 * only after the commit, so that what is shown as recorded is recorded. Nothing is ever deleted: a firing
 * is moved or set aside, and each change gives back what undoes it.
 */
import type { IDBPDatabase } from 'idb';
import { type FiringRow, splitFiring } from './firing-row.ts';
import type { FiringRecord, Job, Outcome, StageId, Workshop } from './job.ts';
import {
  type ConnectionNotice,
  openLayout,
  type StoredFiring,
  type StoredJob,
  type Stores,
} from './layout.ts';
import { RecordError, type RecordErrorKind } from './record-error.ts';
import { openEnvelope, sealEnvelope } from './schema.ts';
import { inTransaction } from './transaction.ts';

/** A stored record that can't be shown; it stays where it is, untouched. */
export interface Unreadable {
  readonly id: string;
  readonly kind: RecordErrorKind;
  /** A sentence for the user, with the reason and the place. */
  readonly reason: string;
  readonly path: string | null;
}

/** Before and after a change. `previous` given to restoreFiring or saveJob undoes it. */
export interface Change<Kept> {
  readonly previous: Kept;
  readonly current: Kept;
}

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
  readonly #database: IDBPDatabase<Stores>;

  constructor(database: IDBPDatabase<Stores>) {
    this.#database = database;
  }

  close(): void {
    this.#database.close();
  }

  /**
   * Adds a job or replaces it. Resolves to the job as it was before, null for a new one.
   *
   * @throws RecordError 'refused' also if a mark was left out that has firings: they would be in no list.
   */
  saveJob(job: Job): Promise<Job | null> {
    const doing = 'The job was not saved.';
    const names = ['jobs', 'firings'] as const;
    return inTransaction(this.#database, [...names], 'readwrite', doing, async (tx) => {
      const sealed = sealJob(job);
      const store = tx.objectStore('jobs');
      const stored = await store.get(job.id);
      const previous = stored === undefined ? null : openJob(stored);
      const dropped =
        previous === null ? [] : labels(previous).filter((label) => !labels(job).includes(label));
      if (dropped.length > 0) {
        const { read } = readAll(await tx.objectStore('firings').index('job').getAll(job.id), openFiring);
        const used = read.find(({ mark }) => dropped.includes(mark));
        if (used !== undefined) {
          throw new RecordError('refused', `${doing} There are firings under ${used.mark}; keep that mark.`);
        }
      }
      await store.put(sealed);
      return previous;
    });
  }

  /** All jobs, the one received last first, and beside them the records that can't be read. */
  async listJobs(): Promise<{ jobs: readonly Job[]; unreadable: readonly Unreadable[] }> {
    const doing = 'The jobs could not be listed.';
    const stored = await inTransaction(this.#database, ['jobs'], 'readonly', doing, (tx) =>
      tx.objectStore('jobs').getAll(),
    );
    const { read, unreadable } = readAll(stored, openJob);
    const received = (job: Job) => Date.parse(job.received);
    read.sort((a, b) => received(b) - received(a) || (a.number < b.number ? 1 : -1));
    return { jobs: read, unreadable };
  }

  /** @throws RecordError 'missing', 'damaged' or 'newer record'. */
  loadJob(id: string): Promise<Job> {
    const doing = 'The job could not be read.';
    return inTransaction(this.#database, ['jobs'], 'readonly', doing, async (tx) =>
      openJob(found(await tx.objectStore('jobs').get(id), 'job', id)),
    );
  }

  /**
   * Writes a firing and its samples in one transaction and resolves to the row once both are on disk.
   *
   * @throws RecordError 'missing' without its job, 'exists' for an id already taken, 'refused' if it isn't
   *   valid or its mark unknown, 'full', 'aborted' or 'closed' if the browser couldn't write. Then nothing was written.
   */
  addFiring(record: FiringRecord): Promise<FiringRow> {
    const doing = 'The firing was not recorded; it is kept on this page until it is closed.';
    const names = ['jobs', 'firings', 'samples'] as const;
    return inTransaction(this.#database, [...names], 'readwrite', doing, async (tx) => {
      const { row, samples } = splitFiring(record);
      const sealed = sealFiring(row);
      requireMark(openJob(found(await tx.objectStore('jobs').get(row.jobId), 'job', row.jobId)), row.mark);
      await tx.objectStore('firings').add(sealed);
      await tx.objectStore('samples').add(samples, row.id);
      return row;
    });
  }

  /** Rows of one job in the order of firing, without samples, and beside them what can't be read. */
  async loadFirings(
    jobId: string,
  ): Promise<{ firings: readonly FiringRow[]; unreadable: readonly Unreadable[] }> {
    const doing = 'The firings could not be read.';
    const stored = await inTransaction(this.#database, ['firings'], 'readonly', doing, (tx) =>
      tx.objectStore('firings').index('job').getAll(jobId),
    );
    const { read, unreadable } = readAll(stored, openFiring);
    read.sort((a, b) => a.ordinal - b.ordinal);
    return { firings: read, unreadable };
  }

  /** @throws RecordError 'missing', or 'damaged' if their number is not the one the firing was stored with. */
  loadSamples(firingId: string): Promise<Uint8Array> {
    const doing = 'The light curve could not be read.';
    const names = ['firings', 'samples'] as const;
    return inTransaction(this.#database, [...names], 'readonly', doing, async (tx) => {
      const row = openFiring(found(await tx.objectStore('firings').get(firingId), 'firing', firingId));
      const samples: unknown = await tx.objectStore('samples').get(firingId);
      const expected = row.firing.sampleCount;
      if (!(samples instanceof Uint8Array) || samples.length !== expected) {
        const there = samples instanceof Uint8Array ? `${samples.length} samples` : 'no samples';
        throw new RecordError('damaged', `${doing} There are ${there} where ${expected} were stored.`);
      }
      return samples;
    });
  }

  /** Files a firing under another mark of its job. @throws RecordError 'refused' if the job has no such mark. */
  moveFiring(firingId: string, mark: string): Promise<Change<FiringRow>> {
    return this.#changeFiring(firingId, 'The firing was not moved.', (row, job) => {
      requireMark(job, mark);
      return row.mark === mark ? row : { ...row, mark, movedFrom: [...row.movedFrom, row.mark] };
    });
  }

  /** Leaves a firing out of the statistics for a reason, or with null takes it in again. It stays kept. */
  setAside(firingId: string, reason: string | null): Promise<Change<FiringRow>> {
    return this.#changeFiring(firingId, 'The firing was not changed.', (row) => ({
      ...row,
      setAside: reason,
    }));
  }

  /** Says that the shutter was exercised before a firing, so that it counts in spite of a rest, or takes it back. */
  setExercised(firingId: string, exercised: boolean): Promise<Change<FiringRow>> {
    return this.#changeFiring(firingId, 'The firing was not changed.', (row) => ({ ...row, exercised }));
  }

  /** Undoes moveFiring, setAside and setExercised: takes what they change from the row as it was, no more. */
  restoreFiring(previous: FiringRow): Promise<Change<FiringRow>> {
    const { mark, movedFrom, setAside, exercised } = previous;
    return this.#changeFiring(previous.id, 'The change was not undone.', (row, job) => {
      requireMark(job, mark);
      return { ...row, mark, movedFrom, setAside, exercised };
    });
  }

  /** Records an outcome for a mark instead of firings, or with null takes it back. Undone by saveJob(previous). */
  setOutcome(jobId: string, stage: StageId, mark: string, outcome: Outcome | null): Promise<Change<Job>> {
    const doing = 'The outcome was not recorded.';
    return inTransaction(this.#database, ['jobs'], 'readwrite', doing, async (tx) => {
      const store = tx.objectStore('jobs');
      const previous = openJob(found(await store.get(jobId), 'job', jobId));
      requireMark(previous, mark);
      const { [mark]: _, ...others } = previous.stages[stage].outcomes;
      const outcomes = outcome === null ? others : { ...others, [mark]: outcome };
      const stages = { ...previous.stages, [stage]: { ...previous.stages[stage], outcomes } };
      const current = { ...previous, stages };
      await store.put(sealJob(current));
      return { previous, current };
    });
  }

  /**
   * The next running number, as printed on papers: '0001', '0002' … Two tabs never get the same one. A
   * number taken for a job that is then not saved is left out.
   */
  nextJobNumber(): Promise<string> {
    const doing = 'No job number could be given out.';
    return inTransaction(this.#database, ['counters'], 'readwrite', doing, async (tx) => {
      const store = tx.objectStore('counters');
      const last = (await store.get('job')) ?? 0;
      if (!Number.isSafeInteger(last))
        throw new RecordError('damaged', `${doing} The last one is “${last}”.`);
      const next = last + 1;
      await store.put(next, 'job');
      return String(next).padStart(4, '0');
    });
  }

  saveWorkshop(workshop: Workshop): Promise<void> {
    const doing = 'The workshop was not saved.';
    return inTransaction(this.#database, ['settings'], 'readwrite', doing, async (tx) => {
      await tx.objectStore('settings').put(sealEnvelope('workshop', workshop), 'workshop');
    });
  }

  /** Null when none was saved yet. @throws RecordError 'damaged' or 'newer record'. */
  loadWorkshop(): Promise<Workshop | null> {
    const doing = 'The workshop could not be read.';
    return inTransaction(this.#database, ['settings'], 'readonly', doing, async (tx) => {
      const stored = await tx.objectStore('settings').get('workshop');
      return stored === undefined ? null : openEnvelope('workshop', stored);
    });
  }

  /** Notes which job is open, so that it is taken up again after a crash. */
  saveOpenJob(id: string): Promise<void> {
    const doing = 'Which job is open was not noted.';
    return inTransaction(this.#database, ['settings'], 'readwrite', doing, async (tx) => {
      await tx.objectStore('settings').put(sealEnvelope('open job', { id }), 'open job');
    });
  }

  /** Id of the job that was open last, null if there was none. @throws RecordError as loadWorkshop. */
  loadOpenJob(): Promise<string | null> {
    const doing = 'The job that was open last could not be found.';
    return inTransaction(this.#database, ['settings'], 'readonly', doing, async (tx) => {
      const stored = await tx.objectStore('settings').get('open job');
      return stored === undefined ? null : openEnvelope('open job', stored).id;
    });
  }

  #changeFiring(
    id: string,
    doing: string,
    change: (row: FiringRow, job: Job) => FiringRow,
  ): Promise<Change<FiringRow>> {
    const names = ['jobs', 'firings'] as const;
    return inTransaction(this.#database, [...names], 'readwrite', doing, async (tx) => {
      const store = tx.objectStore('firings');
      const previous = openFiring(found(await store.get(id), 'firing', id));
      const job = openJob(found(await tx.objectStore('jobs').get(previous.jobId), 'job', previous.jobId));
      const current = change(previous, job);
      await store.put(sealFiring(current));
      return { previous, current };
    });
  }
}

const sealJob = (job: Job): StoredJob => ({ id: job.id, ...sealEnvelope('job', job) });

const sealFiring = (row: FiringRow): StoredFiring => ({
  id: row.id,
  jobId: row.jobId,
  ...sealEnvelope('firing', row),
});

function openJob(stored: StoredJob): Job {
  const job = openEnvelope('job', stored);
  requireKey(job.id, stored.id, 'id');
  return job;
}

function openFiring(stored: StoredFiring): FiringRow {
  const row = openEnvelope('firing', stored);
  requireKey(row.id, stored.id, 'id');
  requireKey(row.jobId, stored.jobId, 'jobId');
  return row;
}

function requireKey(inside: string, outside: string, path: string): void {
  if (inside === outside) return;
  const message = `This record is damaged at ${path}: it is kept under “${outside}” but says “${inside}”.`;
  throw new RecordError('damaged', message, { path });
}

const labels = (job: Job) => job.series.speeds.map(({ label }) => label);

function requireMark(job: Job, mark: string): void {
  if (labels(job).includes(mark)) return;
  throw new RecordError('refused', `Job ${job.number} has no mark “${mark}”.`, { path: 'mark' });
}

function found<Value>(value: Value | undefined, what: string, id: string): Value {
  if (value === undefined) throw new RecordError('missing', `There is no ${what} under the id “${id}”.`);
  return value;
}

/** Opens each record by itself, so that one that can't be read hides no other. */
function readAll<Stored extends { readonly id: string }, Read>(
  stored: readonly Stored[],
  open: (one: Stored) => Read,
): { read: Read[]; unreadable: Unreadable[] } {
  const read: Read[] = [];
  const unreadable: Unreadable[] = [];
  for (const one of stored) {
    try {
      read.push(open(one));
    } catch (error) {
      if (!(error instanceof RecordError)) throw error;
      unreadable.push({ id: one.id, kind: error.kind, reason: error.message, path: error.path });
    }
  }
  return { read, unreadable };
}
