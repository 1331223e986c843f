import 'fake-indexeddb/auto';
import { forceCloseDatabase } from 'fake-indexeddb';
import { unwrap } from 'idb';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { LocalRecord, openRecord } from '../../app/record/database.ts';
import { joinFiring, splitFiring } from '../../app/record/firing-row.ts';
import { type ConnectionNotice, LAYOUT_STEPS, openLayout, type Stores } from '../../app/record/layout.ts';
import { RecordError } from '../../app/record/record-error.ts';
import { RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import { storageState } from '../../app/record/storage-state.ts';
import { withSeries } from '../../app/record/with-series.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { bareFiring, sampleChecks, sampleFiring, sampleJob } from './sample-records.ts';
import version1 from './version-1.json' with { type: 'json' };

let names = 0;
const freshName = () => `record-${++names}`;
const silent = () => {};

/** A record with one job, and the bare database under it for looking and damaging. */
async function open(name = freshName()) {
  const database = await openLayout(name, silent);
  const record = new LocalRecord(database);
  await record.saveJob(sampleJob());
  return { name, database, record };
}

async function recordError(promise: Promise<unknown>): Promise<RecordError> {
  const outcome = await promise.then(
    () => new Error('Nothing was thrown.'),
    (error: unknown) => error,
  );
  if (outcome instanceof RecordError) return outcome;
  throw outcome;
}

afterEach(() => {
  vi.restoreAllMocks();
});

describe('firings', () => {
  it('come back with every figure and byte, in the order of firing, from a new connection', async () => {
    const { name, record } = await open();
    const second = bareFiring({ id: 'b', ordinal: 2 });
    const first = sampleFiring({ id: 'c', ordinal: 1 });
    await record.addFiring(second);
    await record.addFiring(first);
    record.close();

    const again = await openRecord({ name });
    const { firings, unreadable } = await again.loadFirings('job-1');
    expect(unreadable).toEqual([]);
    expect(firings).toEqual([splitFiring(first).row, splitFiring(second).row]);
    const samples = await again.loadSamples('c');
    expect(samples).toBeInstanceOf(Uint8Array);
    expect(joinFiring(firings[0]!, samples)).toEqual(first);
    expect(await again.loadSamples('b')).toEqual(new Uint8Array());
    expect((await again.loadFirings('another job')).firings).toEqual([]);
  });

  it('are on disk, strictly, before addFiring resolves', async () => {
    const { record } = await open();
    const events: string[] = [];
    const original = IDBDatabase.prototype.transaction;
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...args) {
      const transaction = original.apply(this, args);
      events.push(`${transaction.mode} ${transaction.durability}`);
      transaction.addEventListener('complete', () => events.push('complete'));
      return transaction;
    });
    await record.addFiring(sampleFiring()).then(() => events.push('resolved'));
    expect(events).toEqual(['readwrite strict', 'complete', 'resolved']);
  });

  it('never overwrite one another', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    const error = await recordError(record.addFiring(sampleFiring({ mark: '1/30', ordinal: 2 })));
    expect(error.kind).toBe('exists');
    expect((await record.loadFirings('job-1')).firings.map(({ mark }) => mark)).toEqual(['1/60']);
  });

  it('are refused without their job, under an unknown mark or with figures that are no numbers', async () => {
    const { record, database } = await open();
    const sound = sampleFiring();
    const broken = { ...sound, figures: { ...sound.figures, total: seconds(Infinity) } };
    expect((await recordError(record.addFiring({ ...sound, jobId: 'gone' }))).kind).toBe('missing');
    expect((await recordError(record.addFiring({ ...sound, mark: '1/75' }))).kind).toBe('refused');
    expect(await recordError(record.addFiring(broken))).toMatchObject({
      kind: 'refused',
      path: 'figures.total',
    });
    expect(await database.count('firings')).toBe(0);
    expect(await database.count('samples')).toBe(0);
    await record.addFiring(sound);
  });

  it('are moved, set aside and brought back, with nothing else changed', async () => {
    const { record } = await open();
    const original = await record.addFiring(sampleFiring());

    const moved = await record.moveFiring('firing-1', '1/30');
    expect(moved.previous).toEqual(original);
    expect(moved.current).toEqual({ ...original, mark: '1/30', movedFrom: ['1/60'] });
    const again = await record.moveFiring('firing-1', '1/15');
    expect(again.current.movedFrom).toEqual(['1/60', '1/30']);
    const aside = await record.setAside('firing-1', 'bumped');
    expect(aside.current).toEqual({ ...again.current, setAside: 'bumped' });

    await record.restoreFiring(aside.previous);
    await record.restoreFiring(again.previous);
    const { current } = await record.restoreFiring(moved.previous);
    expect(current).toEqual(original);
    expect((await record.loadFirings('job-1')).firings).toEqual([original]);
    expect(await record.loadSamples('firing-1')).toEqual(sampleFiring().firing.samples);
  });

  it('are said to have been exercised before, and that is undone', async () => {
    const { record } = await open();
    const original = await record.addFiring(sampleFiring());
    const { previous, current } = await record.setExercised('firing-1', true);
    expect(previous).toEqual(original);
    expect(current).toEqual({ ...original, exercised: true });
    expect((await record.loadFirings('job-1')).firings).toEqual([current]);
    await record.restoreFiring(previous);
    expect((await record.loadFirings('job-1')).firings).toEqual([original]);
  });

  it('keep their figures in an undo, whatever the row handed in says', async () => {
    const { record } = await open();
    const row = await record.addFiring(sampleFiring());
    const { current } = await record.restoreFiring({
      ...row,
      figures: { ...row.figures, effective: seconds(1) },
    });
    expect(current).toEqual(row);
  });

  it('stay under their mark when the move is impossible', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    expect((await recordError(record.moveFiring('firing-1', '1/75'))).message).toContain('1/75');
    expect((await recordError(record.moveFiring('firing-9', '1/30'))).kind).toBe('missing');
    expect((await record.loadFirings('job-1')).firings[0]!.mark).toBe('1/60');
    const same = await record.moveFiring('firing-1', '1/60');
    expect(same.current.movedFrom).toEqual([]);
  });
});

describe('jobs', () => {
  it('are listed by the instant they were received, whatever their zone', async () => {
    const { record } = await open();
    // 09:30 at +02:00 is 07:30 UTC, before 08:00 UTC though it reads later.
    await record.saveJob(sampleJob('job-2', { received: '2024-05-02T08:00:00Z', number: '0002' }));
    const { jobs } = await record.listJobs();
    expect(jobs.map(({ id }) => id)).toEqual(['job-2', 'job-1']);
  });

  it('give back what they replaced', async () => {
    const { record } = await open();
    const changed = sampleJob('job-1', { complaint: 'sticks' });
    expect(await record.saveJob(changed)).toEqual(sampleJob());
    expect(await record.loadJob('job-1')).toEqual(changed);
    expect(await record.saveJob(sampleJob('job-3'))).toBeNull();
    expect((await recordError(record.loadJob('job-9'))).kind).toBe('missing');
  });

  it('keep marks that have firings', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    const job = sampleJob();
    const without = (label: string) => {
      const speeds = job.series.speeds.filter((speed) => speed.label !== label);
      return withSeries(job, { ...job.series, speeds });
    };
    const error = await recordError(record.saveJob(without('1/60')));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('1/60');
    await record.saveJob(without('1/500'));
    expect((await record.loadJob('job-1')).series.speeds).toHaveLength(job.series.speeds.length - 1);
  });

  it('keep an outcome for a mark of one stage and take it back', async () => {
    const { record } = await open();
    const { previous, current } = await record.setOutcome('job-1', 'as found', '1', 'stuck open');
    expect(previous).toEqual(sampleJob());
    expect(current.stages['as found'].outcomes).toEqual({ '1': 'stuck open' });
    expect(current.stages['as left'].outcomes).toEqual({});
    await record.setOutcome('job-1', 'as found', '1/2', 'not tried');
    await record.setOutcome('job-1', 'as found', '1', null);
    expect((await record.loadJob('job-1')).stages['as found'].outcomes).toEqual({ '1/2': 'not tried' });
    await record.saveJob(previous);
    expect(await record.loadJob('job-1')).toEqual(previous);
    expect((await recordError(record.setOutcome('job-1', 'as left', '1/75', 'not tried'))).kind).toBe(
      'refused',
    );
  });

  it('keep the checks made of the instrument, and refuse one that is none', async () => {
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { checks: sampleChecks }));
    expect((await record.loadJob('job-1')).checks).toEqual(sampleChecks);
    const broken = { ...sampleChecks[0]!, at: 'just now' };
    expect(
      await recordError(record.saveJob(sampleJob('job-1', { checks: [...sampleChecks, broken] }))),
    ).toMatchObject({ kind: 'refused', path: 'checks.3.at' });
    expect((await record.loadJob('job-1')).checks).toEqual(sampleChecks);
  });

  it('get numbers that no other tab gets', async () => {
    const { name, record } = await open();
    const other = await openRecord({ name });
    const given = await Promise.all(
      [record, other, record, other, other].map((each) => each.nextJobNumber()),
    );
    expect(given.toSorted()).toEqual(['0001', '0002', '0003', '0004', '0005']);
  });

  it('know their workshop', async () => {
    const { record } = await open();
    expect(await record.loadWorkshop()).toBeNull();
    const workshop = { name: 'Shed', address: 'Lantern Lane 5', signatory: 'N. N.' };
    await record.saveWorkshop(workshop);
    expect(await record.loadWorkshop()).toEqual(workshop);
  });

  it('know which job was open last', async () => {
    const { record } = await open();
    expect(await record.loadOpenJob()).toBeNull();
    await record.saveOpenJob('job-7');
    await record.saveOpenJob('job-8');
    expect(await record.loadOpenJob()).toBe('job-8');
  });
});

describe('records of version 1', () => {
  it('are read, changed and written in the present version, samples and all', async () => {
    const { record, database } = await open();
    const job = { ...version1.job, id: 'job-1' };
    const firing = { ...version1.firing, id: 'firing-1', jobId: 'job-1' };
    await database.put('jobs', job as Stores['jobs']['value']);
    await database.put('firings', firing as Stores['firings']['value']);
    await database.put('samples', new Uint8Array(1500), 'firing-1');

    expect((await record.loadJob('job-1')).decisionRule).toBe('simple');
    const { firings, unreadable } = await record.loadFirings('job-1');
    expect(unreadable).toEqual([]);
    expect(firings).toMatchObject([
      { id: 'firing-1', exercised: false, reference: { origin: 'slow firing' } },
    ]);
    await record.setAside('firing-1', 'bumped');
    expect(await database.get('firings', 'firing-1')).toMatchObject({
      version: RECORD_VERSION,
      data: { setAside: 'bumped', measuringVersion: 1 },
    });
    expect(await record.loadSamples('firing-1')).toHaveLength(1500);
  });
});

describe('records that can’t be read', () => {
  it('are reported beside the others, and stay as they are', async () => {
    const { record, database } = await open();
    const newer = {
      ...sealEnvelope('job', sampleJob('newer')),
      id: 'newer',
      version: RECORD_VERSION + 1,
      source: 'leafclock 9.2.0',
    };
    const damaged = { ...sealEnvelope('job', sampleJob('damaged')), id: 'damaged', data: { id: 'damaged' } };
    const misfiled = { ...sealEnvelope('job', sampleJob('other')), id: 'misfiled' };
    const alien = { id: 'alien' } as unknown as Stores['jobs']['value'];
    for (const stored of [newer, damaged, misfiled, alien]) await database.put('jobs', stored);

    const { jobs, unreadable } = await record.listJobs();
    expect(jobs).toEqual([sampleJob()]);
    expect(unreadable.map(({ id, kind, path }) => [id, kind, path])).toEqual([
      ['alien', 'damaged', 'type'],
      ['damaged', 'damaged', 'number'],
      ['misfiled', 'damaged', 'id'],
      ['newer', 'newer record', 'version'],
    ]);
    expect(unreadable[3]!.reason).toContain('leafclock 9.2.0');

    // Neither is overwritten by a job of the same id.
    for (const id of ['newer', 'damaged']) await recordError(record.saveJob(sampleJob(id)));
    expect(await database.get('jobs', 'newer')).toEqual(newer);
    expect(await database.get('jobs', 'damaged')).toEqual(damaged);
  });

  it('hide no other firing', async () => {
    const { record, database } = await open();
    await record.addFiring(sampleFiring());
    await record.addFiring(sampleFiring({ id: 'firing-2', ordinal: 2 }));
    const stored = (await database.get('firings', 'firing-2'))!;
    const data = { ...(stored.data as object), ordinal: 'two' };
    await database.put('firings', { ...stored, data });
    const { firings, unreadable } = await record.loadFirings('job-1');
    expect(firings.map(({ id }) => id)).toEqual(['firing-1']);
    expect(unreadable).toMatchObject([{ id: 'firing-2', kind: 'damaged', path: 'ordinal' }]);
  });

  it('include samples of the wrong number', async () => {
    const { record, database } = await open();
    await record.addFiring(sampleFiring());
    await database.put('samples', new Uint8Array(3), 'firing-1');
    const error = await recordError(record.loadSamples('firing-1'));
    expect(error).toMatchObject({ kind: 'damaged' });
    expect(error.message).toContain('3 samples where 1500');
    await database.delete('samples', 'firing-1');
    expect((await recordError(record.loadSamples('firing-1'))).message).toContain('no samples');
  });
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
