import 'fake-indexeddb/auto';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { splitFiring } from '../../app/record/firing-row.ts';
import type { FiringRecord } from '../../app/record/job.ts';
import type { JobBundle } from '../../app/record/job-bundle.ts';
import type { Stores } from '../../app/record/layout.ts';
import { RECORD_VERSION } from '../../app/record/schema.ts';
import { open, recordError } from './record-under-test.ts';
import { fullJob, samplePicture } from './sample-job-parts.ts';
import { bareFiring, sampleFiring, sampleJob } from './sample-records.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

const STORES = ['jobs', 'summaries', 'firings', 'samples', 'pictures'] as const;

const firings: readonly FiringRecord[] = [
  sampleFiring({ id: 'a', jobId: 'job-2', ordinal: 1 }),
  bareFiring({ id: 'b', jobId: 'job-2', ordinal: 2, mark: '1/30' }),
];

/** A job with two firings and a picture, as a file would bring it. */
const bundle: JobBundle = {
  job: fullJob('job-2', { number: '0002' }),
  firings: firings.map((record) => splitFiring(record).row),
  samples: new Map([['a', firings[0]!.firing.samples]]),
  pictures: [samplePicture({ jobId: 'job-2' })],
};

async function openWithBundle() {
  const under = await open();
  expect(await under.record.addBundle(bundle, 'keep')).toBe('added');
  return under;
}

/** All that the stores hold, keys and values. */
async function everything({ database }: Awaited<ReturnType<typeof open>>) {
  const stores = STORES.map(async (name) => [
    name,
    await database.getAllKeys(name),
    await database.getAll(name),
  ]);
  return structuredClone(await Promise.all(stores));
}

/** Another state of the same job: a word, a firing more and a firing less. */
const changed: JobBundle = {
  ...bundle,
  job: { ...bundle.job, complaint: 'sticks' },
  firings: [
    bundle.firings[0]!,
    splitFiring(bareFiring({ id: 'c', jobId: 'job-2', ordinal: 3, mark: '1/30' })).row,
  ],
};

describe('a bundle', () => {
  it('comes back as it went in, with everything of the job', async () => {
    const { record } = await openWithBundle();
    const { unreadable, samples, ...loaded } = await record.loadBundle('job-2');
    expect(unreadable).toEqual([]);
    expect(loaded).toEqual({ job: bundle.job, firings: bundle.firings, pictures: bundle.pictures });
    expect(samples.get('a')).toEqual(firings[0]!.firing.samples);
    expect(samples.get('b')).toEqual(new Uint8Array());

    expect(await record.loadJob('job-2')).toEqual(bundle.job);
    expect((await record.loadFirings('job-2')).firings).toEqual(bundle.firings);
    expect(await record.loadSamples('a')).toEqual(firings[0]!.firing.samples);
    expect(await record.loadSamples('b')).toEqual(new Uint8Array());
    expect(await record.loadPicture('picture-1')).toEqual(bundle.pictures[0]);
    expect((await record.listJobs()).jobs.map(({ number }) => number).toSorted()).toEqual(['0001', '0002']);
    expect((await recordError(record.loadBundle('job-9'))).kind).toBe('missing');
  });

  it('is the same as what a bench wrote', async () => {
    const { record } = await open();
    await record.saveJob(bundle.job);
    for (const firing of firings) await record.addFiring(firing);
    await record.savePicture(bundle.pictures[0]!);
    expect(await record.addBundle(bundle, 'replace')).toBe('same');
  });

  it.each(['keep', 'replace'] as const)('brought again changes nothing (%s)', async (differing) => {
    const under = await openWithBundle();
    const before = await everything(under);
    expect(await under.record.addBundle(bundle, differing)).toBe('same');
    // In another order, and with the fields of its objects in another order, it is still the same.
    const shuffled = {
      ...bundle,
      job: Object.fromEntries(Object.entries(bundle.job).reverse()) as unknown as JobBundle['job'],
      firings: bundle.firings.toReversed(),
      samples: new Map([['b', new Uint8Array()], ...bundle.samples]),
    };
    expect(await under.record.addBundle(shuffled, differing)).toBe('same');
    expect(await everything(under)).toEqual(before);
  });

  it('that differs is left out on request', async () => {
    const under = await openWithBundle();
    const before = await everything(under);
    expect(await under.record.addBundle(changed, 'keep')).toBe('kept');
    expect(await everything(under)).toEqual(before);
  });

  it('that differs takes the place of what is here on request, and of nothing else', async () => {
    const under = await openWithBundle();
    const { record, database } = under;
    await record.addFiring(sampleFiring());
    expect(await record.addBundle(changed, 'replace')).toBe('replaced');
    const { firings: rows } = await record.loadFirings('job-2');
    expect(rows).toEqual(changed.firings);
    expect((await record.loadJob('job-2')).complaint).toBe('sticks');
    expect((await record.listJobs()).jobs.map(({ complaint }) => complaint).toSorted()).toEqual([
      '',
      'sticks',
    ]);
    expect(await database.getAllKeys('samples')).toEqual(['a', 'c', 'firing-1']);
    expect((await record.loadFirings('job-1')).firings).toHaveLength(1);
    expect(await record.addBundle(changed, 'replace')).toBe('same');
  });

  it.each<[string, JobBundle]>([
    ['one byte of the samples', { ...bundle, samples: new Map([['a', new Uint8Array(1500)]]) }],
    ['samples that are gone', { ...bundle, samples: new Map() }],
    ['a picture', { ...bundle, pictures: [samplePicture({ jobId: 'job-2', width: 641 })] }],
    ['a picture that is gone', { ...bundle, pictures: [] }],
    ['a firing that is gone', { ...bundle, firings: bundle.firings.slice(0, 1) }],
    [
      'a firing set aside',
      { ...bundle, firings: [bundle.firings[0]!, { ...bundle.firings[1]!, setAside: 'bumped' }] },
    ],
  ])('differs by %s', async (_, other) => {
    const { record } = await openWithBundle();
    expect(await record.addBundle(other, 'keep')).toBe('kept');
  });

  it('is refused whole if a part belongs elsewhere or is not what it says', async () => {
    const under = await open();
    await under.record.addFiring(sampleFiring({ id: 'b' }));
    await under.record.savePicture(samplePicture({ id: 'picture-9' }));
    const before = await everything(under);
    const elsewhere = bundle.firings.map((row) => ({ ...row, jobId: 'job-3' }));
    const unknown = bundle.firings.map((row) => ({ ...row, mark: '1/75' }));
    const twice = [...bundle.firings, bundle.firings[0]!];
    const cases: [JobBundle, object][] = [
      [
        { ...bundle, firings: elsewhere },
        { kind: 'refused', path: 'jobId' },
      ],
      [
        { ...bundle, pictures: [samplePicture({ jobId: 'job-3' })] },
        { kind: 'refused', path: 'jobId' },
      ],
      [
        { ...bundle, firings: unknown },
        { kind: 'refused', path: 'mark' },
      ],
      [
        { ...bundle, samples: new Map([['a', new Uint8Array(3)]]) },
        { kind: 'refused', path: 'samples' },
      ],
      [
        { ...bundle, samples: new Map([['z', new Uint8Array(3)]]) },
        { kind: 'refused', path: 'samples' },
      ],
      [{ ...bundle, firings: twice }, { kind: 'exists' }],
      // The firing b and the picture belong to job-1 here.
      [bundle, { kind: 'exists' }],
      [
        {
          ...bundle,
          firings: [],
          samples: new Map(),
          pictures: [samplePicture({ id: 'picture-9', jobId: 'job-2' })],
        },
        { kind: 'exists' },
      ],
    ];
    for (const [bad, expected] of cases) {
      const error = await recordError(under.record.addBundle(bad, 'replace'));
      expect(error).toMatchObject(expected);
      expect(await everything(under)).toEqual(before);
    }
  });

  it('is all there or not at all when the disk is full, and what it was to replace stays', async () => {
    const under = await openWithBundle();
    const before = await everything(under);
    const original = IDBObjectStore.prototype.add;
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore, ...args) {
      if (this.name === 'pictures') throw new DOMException('', 'QuotaExceededError');
      return original.apply(this, args);
    });
    const error = await recordError(under.record.addBundle(changed, 'replace'));
    expect(error.kind).toBe('full');
    expect(error.message).toContain('Job 0002 was not taken in');
    vi.restoreAllMocks();
    expect(await everything(under)).toEqual(before);
  });

  it('numbers no job that comes later like the one it brought', async () => {
    const { record } = await openWithBundle();
    expect(await record.nextJobNumber()).toBe('0003');
  });
});

describe('a bundle of a job that can’t be read whole', () => {
  it('holds the rest, and says what is missing', async () => {
    const { record, database } = await openWithBundle();
    await database.delete('samples', 'a');
    const row = (await database.get('firings', 'b'))!;
    await database.put('firings', { ...row, data: { ...(row.data as object), ordinal: 0 } });
    const { unreadable, ...loaded } = await record.loadBundle('job-2');
    expect(loaded.firings.map(({ id }) => id)).toEqual(['a']);
    expect(loaded.samples.size).toBe(0);
    expect(unreadable).toMatchObject([
      { id: 'b', path: 'ordinal' },
      { id: 'a', kind: 'damaged' },
    ]);

    // It can be taken in elsewhere, lost samples and all, and is the same when it comes again.
    const { record: other } = await open();
    expect(await other.addBundle(loaded, 'keep')).toBe('added');
    expect(await other.addBundle(loaded, 'replace')).toBe('same');
    expect((await recordError(other.loadSamples('a'))).kind).toBe('damaged');
  });

  it('is mended by a sound one on request', async () => {
    const { record, database } = await openWithBundle();
    const stored = (await database.get('jobs', 'job-2'))!;
    await database.put('jobs', { ...stored, data: {} });
    expect(await record.addBundle(bundle, 'keep')).toBe('kept');
    expect(await record.addBundle(bundle, 'replace')).toBe('replaced');
    expect(await record.loadJob('job-2')).toEqual(bundle.job);
  });

  it.each(['jobs', 'firings'] as const)('never takes the place of newer %s', async (store) => {
    const { record, database } = await openWithBundle();
    const id = store === 'jobs' ? 'job-2' : 'a';
    const newer = { ...(await database.get(store, id))!, version: RECORD_VERSION + 1 };
    await database.put(store, newer as Stores['jobs']['value'] & Stores['firings']['value']);
    expect(await record.addBundle(bundle, 'keep')).toBe('kept');
    expect((await recordError(record.addBundle(bundle, 'replace'))).kind).toBe('newer record');
    expect(await database.get(store, id)).toEqual(newer);
  });
});

describe('a job taken off the list', () => {
  const removed = (id: string) => sampleJob(id, { removed: '2024-05-02T08:00:00Z' });

  it('is erased with all that it has, and nothing of another', async () => {
    const { record, database } = await openWithBundle();
    await record.addFiring(sampleFiring());
    await record.savePicture(samplePicture({ id: 'picture-2' }));
    await record.eraseJob('job-2'); // fullJob is taken off the list
    for (const store of STORES) expect(await database.count(store), store).toBe(1);
    expect((await record.listJobs()).jobs.map(({ id }) => id)).toEqual(['job-1']);
    expect(await record.loadSamples('firing-1')).toEqual(sampleFiring().firing.samples);
    expect((await recordError(record.loadJob('job-2'))).kind).toBe('missing');
  });

  it('stays whole when it can’t be erased', async () => {
    const under = await open();
    const { record } = under;
    await record.addFiring(sampleFiring());
    await record.saveJob(removed('job-1'));
    const before = await everything(under);
    const original = IDBObjectStore.prototype.delete;
    vi.spyOn(IDBObjectStore.prototype, 'delete').mockImplementation(function (this: IDBObjectStore, ...args) {
      if (this.name === 'jobs') this.transaction.abort();
      return original.apply(this, args);
    });
    await recordError(record.eraseJob('job-1'));
    vi.restoreAllMocks();
    expect(await everything(under)).toEqual(before);
  });
});
