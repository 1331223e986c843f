import 'fake-indexeddb/auto';
import { forceCloseDatabase } from 'fake-indexeddb';
import { unwrap } from 'idb';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { LocalRecord, openRecord } from '../../app/record/database.ts';
import { type ConnectionNotice, LAYOUT_STEPS, openLayout } from '../../app/record/layout.ts';
import { storageState } from '../../app/record/storage-state.ts';
import { freshName, open, recordError, silent } from './record-under-test.ts';
import { sampleFiring, sampleJob } from './sample-records.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

/** The stand-in for IndexedDB lets a transaction be ended from inside; the standard has no way to do it. */
type Inside = IDBTransaction & {
  _abort(name: string): void;
  _execRequestAsync(request: { operation: () => never; source: IDBObjectStore }): IDBRequest<IDBValidKey>;
};

const quota = () => new DOMException('', 'QuotaExceededError');
type AddFault = (store: IDBObjectStore, add: () => IDBRequest<IDBValidKey>) => IDBRequest<IDBValidKey>;

/** Three places where a full disk can show. */
const FAULTS: Record<string, AddFault> = {
  'when the call is made': () => {
    throw quota();
  },
  'at the request': (store) =>
    (store.transaction as Inside)._execRequestAsync({
      operation: () => {
        throw quota();
      },
      source: store,
    }),
  'at the commit': (store, add) => {
    const request = add();
    request.addEventListener('success', () => (store.transaction as Inside)._abort('QuotaExceededError'));
    return request;
  },
};

describe('a full disk', () => {
  it.each(Object.keys(FAULTS))('%s leaves nothing half written and says so', async (where) => {
    const { record, database } = await open();
    const original = IDBObjectStore.prototype.add;
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore, ...args) {
      const add = () => original.apply(this, args);
      return this.name === 'samples' ? FAULTS[where]!(this, add) : add();
    });
    const error = await recordError(record.addFiring(sampleFiring()));
    expect(error.kind).toBe('full');
    expect(error.message).toMatch(/not recorded.*full/);
    vi.restoreAllMocks();
    expect(await database.count('firings')).toBe(0);
    expect(await database.count('samples')).toBe(0);

    // The caller still has it, and can try again once there is room.
    await record.addFiring(sampleFiring());
    expect(await database.count('firings')).toBe(1);
  });

  it('is told from a transaction that ended for no stated reason', async () => {
    const { record } = await open();
    const original = IDBObjectStore.prototype.put;
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...args) {
      const request = original.apply(this, args);
      request.addEventListener('success', () => this.transaction.abort());
      return request;
    });
    expect((await recordError(record.saveJob(sampleJob('job-2')))).kind).toBe('aborted');
    vi.restoreAllMocks();
    expect((await record.listJobs()).jobs).toHaveLength(1);
  });
});

describe('two tabs', () => {
  const NEXT_STEPS = [...LAYOUT_STEPS, silent];

  it('at an upgrade are told of each other; the older goes on writing until it closes', async () => {
    const name = freshName();
    const notices: string[] = [];
    const note = (who: string) => (notice: ConnectionNotice) => notices.push(`${who} ${notice.kind}`);
    const older = await openRecord({ name, notify: note('older') });
    await older.saveJob(sampleJob());

    let opened = false;
    const newer = openLayout(name, note('newer'), NEXT_STEPS).then((database) => {
      opened = true;
      return database;
    });
    await vi.waitFor(() => expect(notices).toEqual(['older blocking', 'newer blocked']));
    await older.addFiring(sampleFiring());
    expect(opened).toBe(false);

    older.close();
    const database = await newer;
    expect(await database.count('firings')).toBe(1);
    expect(database.version).toBe(LAYOUT_STEPS.length + 1);

    // An older page that comes later is refused, and deletes nothing.
    const error = await recordError(openRecord({ name }));
    expect(error.kind).toBe('newer database');
    expect(error.message).toContain('newer Leafclock');
    expect(await database.count('jobs')).toBe(1);
  });

  it('lay the database out once', async () => {
    const name = freshName();
    const [one, other] = await Promise.all([openRecord({ name }), openRecord({ name })]);
    await one.saveJob(sampleJob());
    expect((await other.listJobs()).jobs).toHaveLength(1);
  });
});

describe('a connection', () => {
  it('that the browser cuts is announced, and nothing is said to be written after it', async () => {
    const notices: string[] = [];
    const database = await openLayout(freshName(), ({ kind }) => notices.push(kind));
    const record = new LocalRecord(database);
    await record.saveJob(sampleJob());
    forceCloseDatabase(unwrap(database) as unknown as Parameters<typeof forceCloseDatabase>[0]);
    await vi.waitFor(() => expect(notices).toEqual(['closed']));
    const error = await recordError(record.addFiring(sampleFiring()));
    expect(error.kind).toBe('closed');
    expect(error.message).toContain('not recorded');
  });

  it('is refused in words where the browser has no database', async () => {
    vi.stubGlobal('indexedDB', undefined);
    const error = await recordError(openRecord({ name: freshName() }));
    vi.unstubAllGlobals();
    expect(error.kind).toBe('unavailable');
  });
});

describe('the state of the storage', () => {
  it('is asked for, and said', async () => {
    const persist = vi.fn(async () => true);
    const state = await storageState({
      persisted: async () => false,
      persist,
      estimate: async () => ({ usage: 10, quota: 100 }),
    });
    expect(state).toEqual({ persistent: true, used: 10, available: 90 });
    expect(persist).toHaveBeenCalledOnce();
  });

  it('does not ask again for what it has', async () => {
    const persist = vi.fn(async () => false);
    const state = await storageState({ persisted: async () => true, persist });
    expect(state).toEqual({ persistent: true, used: null, available: null });
    expect(persist).not.toHaveBeenCalled();
  });

  it('is unknown, not an error, where the browser does not say', async () => {
    const unknown = { persistent: null, used: null, available: null };
    expect(await storageState(undefined)).toEqual(unknown);
    const failing = async () => {
      throw new TypeError('no');
    };
    expect(await storageState({ persist: failing, persisted: failing, estimate: failing })).toEqual(unknown);
    expect(await storageState({ persist: async () => false })).toMatchObject({ persistent: false });
  });
});
