/** How the database is laid out: its stores and indexes, and how an older layout becomes the present one. */
import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB, type StoreNames } from 'idb';
import { asRecordError } from './record-error.ts';
import type { Envelope } from './schema.ts';

/** Envelopes with the keys the database looks them up by, which stay put whatever a migration does to `data`. */
export interface StoredJob extends Envelope {
  readonly id: string;
}

export interface StoredFiring extends Envelope {
  readonly id: string;
  readonly jobId: string;
}

export interface StoredPicture extends Envelope {
  readonly id: string;
  readonly jobId: string;
}

/** What lists show of a job, with the number that it is looked up by. */
export interface StoredSummary extends Envelope {
  readonly id: string;
  readonly number: string;
}

export interface Stores extends DBSchema {
  jobs: { key: string; value: StoredJob };
  firings: { key: string; value: StoredFiring; indexes: { job: string } };
  /** 8-bit codes by id of the firing. */
  samples: { key: string; value: Uint8Array };
  pictures: { key: string; value: StoredPicture; indexes: { job: string } };
  /** Beside each job, written with it; one that is missing or of another version is drawn from its job again. */
  summaries: { key: string; value: StoredSummary; indexes: { number: string } };
  /** By the key that boardKey gives. */
  boards: { key: string; value: Envelope };
  /** One envelope per name. */
  settings: { key: string; value: Envelope };
  /** Last number given out, by name. */
  counters: { key: string; value: number };
}

export type RecordDatabase = IDBPDatabase<Stores>;

type Upgrade = IDBPTransaction<Stores, StoreNames<Stores>[], 'versionchange'>;

/** Step n leads from layout n to layout n + 1, the first from nothing. Released steps never change. */
export type LayoutStep = (database: RecordDatabase, upgrade: Upgrade) => void;

export const LAYOUT_STEPS: readonly LayoutStep[] = [
  (database) => {
    database.createObjectStore('jobs', { keyPath: 'id' });
    database.createObjectStore('firings', { keyPath: 'id' }).createIndex('job', 'jobId');
    database.createObjectStore('samples');
    database.createObjectStore('settings');
    database.createObjectStore('counters');
  },
  (database) => {
    database.createObjectStore('pictures', { keyPath: 'id' }).createIndex('job', 'jobId');
    database.createObjectStore('summaries', { keyPath: 'id' }).createIndex('number', 'number');
    database.createObjectStore('boards');
  },
];

/** Something the user should know about the connection while it is being opened or later. */
export interface ConnectionNotice {
  readonly kind:
    | 'blocked' // another tab with an older layout must close before this one can open
    | 'blocking' // this tab keeps a newer one from opening
    | 'closed'; // the browser cut the connection
  readonly sentence: string;
}

const NOTICES: Readonly<Record<ConnectionNotice['kind'], ConnectionNotice>> = {
  blocked: {
    kind: 'blocked',
    sentence:
      'Leafclock is open in another tab in an older version. Close that tab; this one goes on by itself.',
  },
  blocking: {
    kind: 'blocking',
    sentence: 'A newer Leafclock waits in another tab. Finish here, then close or reload this tab.',
  },
  closed: {
    kind: 'closed',
    sentence:
      'The browser closed the database. What is not recorded yet waits in this page: try to record it again before you close it.',
  },
};

/**
 * Opens the database, laying it out or bringing it up to date. Stays pending while another tab blocks the
 * upgrade, after a notice. This tab never closes its connection by itself for a newer one: a series may be
 * under way here.
 *
 * @throws RecordError 'unavailable', 'newer database', 'full' or 'failed'. Nothing is ever deleted.
 */
export async function openLayout(
  name: string,
  notify: (notice: ConnectionNotice) => void,
  steps: readonly LayoutStep[] = LAYOUT_STEPS,
): Promise<RecordDatabase> {
  const doing = 'The jobs on this computer could not be opened.';
  if (typeof indexedDB === 'undefined') {
    throw asRecordError({ name: 'SecurityError' }, doing);
  }
  try {
    return await openDB<Stores>(name, steps.length, {
      upgrade: (database, oldVersion, _newVersion, upgrade) => {
        for (const step of steps.slice(oldVersion)) step(database, upgrade);
      },
      blocked: () => notify(NOTICES.blocked),
      blocking: () => notify(NOTICES.blocking),
      terminated: () => notify(NOTICES.closed),
    });
  } catch (error) {
    throw asRecordError(error, doing);
  }
}
