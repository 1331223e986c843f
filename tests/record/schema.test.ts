import { readFileSync } from 'node:fs';
import type * as v from 'valibot';
import { describe, expect, expectTypeOf, it } from 'vitest';
import { BUILT_IN_SERIES } from '../../app/judge/series.ts';
import { type FiringRow, joinFiring, splitFiring } from '../../app/record/firing-row.ts';
import type { firingRowSchema } from '../../app/record/firing-schema.ts';
import type { Job, Workshop } from '../../app/record/job.ts';
import type { jobSchema, workshopSchema } from '../../app/record/job-schema.ts';
import type { Migration } from '../../app/record/migration.ts';
import { MIGRATIONS, migrate, versionAfter } from '../../app/record/migrations.ts';
import { demonstrationJob, newJob } from '../../app/record/new-job.ts';
import { RecordError } from '../../app/record/record-error.ts';
import { openEnvelope, RECORD_SOURCE, RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import { withSeries } from '../../app/record/with-series.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { bareFiring, sampleChecks, sampleFiring, sampleJob } from './sample-records.ts';
import version1 from './version-1.json' with { type: 'json' };

function recordError(act: () => unknown): RecordError {
  try {
    act();
  } catch (error) {
    if (error instanceof RecordError) return error;
    throw error;
  }
  throw new Error('Nothing was thrown.');
}

/** What a field may hold, without regard to readonly. */
type Loose<T> = T extends number | string | boolean | null | undefined
  ? T
  : { -readonly [Key in keyof T]: Loose<T[Key]> };

const foundSetUp = (job: Record<string, unknown>) =>
  (job as unknown as Job).stages['as found'].setUp as object;

describe('the door', () => {
  it('has a schema for every field of the contract types', () => {
    // Checked by the type checker: a field added on one side only doesn't compile.
    expectTypeOf<Loose<v.InferOutput<typeof jobSchema>>>().toEqualTypeOf<Loose<Job>>();
    expectTypeOf<Loose<v.InferOutput<typeof firingRowSchema>>>().toEqualTypeOf<Loose<FiringRow>>();
    expectTypeOf<Loose<v.InferOutput<typeof workshopSchema>>>().toEqualTypeOf<Loose<Workshop>>();
  });

  it('lets sound records through unchanged', () => {
    const job = sampleJob('job-1', {
      bands: { '1/60': { ...sampleJob().band } },
      bandUnit: '%',
      decisionRule: 'guard band',
      spreadLimit: stops(0.1),
      checks: sampleChecks,
    });
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
    for (const record of [sampleFiring(), bareFiring()]) {
      const { row, samples } = splitFiring(record);
      const opened = openEnvelope('firing', sealEnvelope('firing', row));
      expect(joinFiring(opened, samples)).toEqual(record);
    }
    const workshop = { name: 'Shed', address: '', signatory: 'N. N.' };
    expect(openEnvelope('workshop', sealEnvelope('workshop', workshop))).toEqual(workshop);
    expect(openEnvelope('open job', sealEnvelope('open job', { id: 'a' }))).toEqual({ id: 'a' });
  });

  it('survives JSON, as files will need', () => {
    const envelope = JSON.parse(JSON.stringify(sealEnvelope('job', sampleJob())));
    expect(openEnvelope('job', envelope)).toEqual(sampleJob());
  });

  it('names the program in its envelopes', () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect(RECORD_SOURCE).toBe(`leafclock ${version}`);
    expect(sealEnvelope('job', sampleJob())).toMatchObject({
      type: 'leafclock job',
      version: RECORD_VERSION,
      source: RECORD_SOURCE,
    });
  });

  it('refuses to seal what it could not open again, with the place', () => {
    const { row } = splitFiring(sampleFiring());
    const bad: FiringRow = { ...row, figures: { ...row.figures, effective: seconds(NaN) } };
    const error = recordError(() => sealEnvelope('firing', bad));
    expect(error.kind).toBe('refused');
    expect(error.path).toBe('figures.effective');
    expect(error.message).toContain('figures.effective');
  });

  it.each<[string, (job: Record<string, unknown>) => void, string | null]>([
    ['a missing field', (job) => delete job.complaint, 'complaint'],
    ['an unknown field', (job) => Object.assign(job, { colour: 'red' }), 'colour'],
    ['a wrong type', (job) => Object.assign(job.customer as object, { name: 7 }), 'customer.name'],
    ['a time that is none', (job) => Object.assign(job, { received: 'yesterday' }), 'received'],
    ['an unknown word', (job) => Object.assign(job, { referenceRule: 'guess' }), 'referenceRule'],
    ['a band upside down', (job) => Object.assign(job, { band: { lower: 1, upper: -1 } }), 'band'],
    ['a band without its mark', (job) => Object.assign(job, { bands: { '1/75': job.band } }), null],
    ...(['governed', 'pallet', 'booster'] as const).map(
      (list): [string, (job: Record<string, unknown>) => void, null] => [
        `a ${list} mark that it has not`,
        (job) => Object.assign(job.profile as object, { [list]: ['1/75'] }),
        null,
      ],
    ),
    ['no room for any spread', (job) => Object.assign(job, { spreadLimit: 0 }), 'spreadLimit'],
    ['an unknown rule', (job) => Object.assign(job, { decisionRule: 'lenient' }), 'decisionRule'],
    [
      'an unknown check',
      (job) => Object.assign(job, { checks: [{ ...sampleChecks[0], kind: 'moonlight' }] }),
      'checks.0.kind',
    ],
    [
      "one check's result under another's name",
      (job) => Object.assign(job, { checks: [{ ...sampleChecks[0], kind: 'iris' }] }),
      'checks.0.result.mark',
    ],
    ...[0, 1.1].map((seen): [string, (job: Record<string, unknown>) => void, string] => [
      `${seen} of the opening seen`,
      (job) => Object.assign(foundSetUp(job), { seenShare: seen }),
      'stages.as found.setUp.seenShare',
    ]),
    ...[-0.01, 1].map((linearity): [string, (job: Record<string, unknown>) => void, string] => [
      `a linearity of ${linearity}`,
      (job) => Object.assign(foundSetUp(job), { linearity }),
      'stages.as found.setUp.linearity',
    ]),
    [
      'no firings at all',
      (job) => Object.assign(job.leastFirings as object, { 'as left': 0 }),
      'leastFirings.as left',
    ],
  ])('refuses a job with %s and says where', (_, damage, path) => {
    const job = structuredClone(sampleJob()) as unknown as Record<string, unknown>;
    damage(job);
    const error = recordError(() => openEnvelope('job', { ...sealEnvelope('job', sampleJob()), data: job }));
    expect(error.kind).toBe('damaged');
    expect(error.path).toBe(path);
  });

  it('refuses a series that holds a mark twice', () => {
    const job = sampleJob();
    const speeds = [...job.series.speeds, job.series.speeds[0]!];
    const error = recordError(() => sealEnvelope('job', { ...job, series: { ...job.series, speeds } }));
    expect(error.path).toBe('series.speeds');
  });

  it.each([undefined, null, 3, 'x', [], {}, { type: 'leafclock job', version: 0, source: '', data: {} }])(
    'refuses %j as an envelope',
    (envelope) => {
      expect(recordError(() => openEnvelope('job', envelope)).kind).toBe('damaged');
    },
  );

  it('refuses one kind of record in place of another', () => {
    const error = recordError(() => openEnvelope('firing', sealEnvelope('job', sampleJob())));
    expect(error).toMatchObject({ kind: 'damaged', path: 'type' });
    expect(error.message).toContain('leafclock job');
  });

  it('refuses a newer record by name, before looking into it', () => {
    const newer = {
      type: 'leafclock job',
      version: RECORD_VERSION + 1,
      source: 'leafclock 9.2.0',
      data: 'of a shape unknown here',
    };
    const error = recordError(() => openEnvelope('job', newer));
    expect(error.kind).toBe('newer record');
    expect(error.message).toContain('leafclock 9.2.0');
    expect(error.message).toContain(`version ${RECORD_VERSION + 1}`);
  });
});

/** Steps as later versions will have them, here only to show that the path works. */
const STEPS: readonly Migration[] = [
  {
    to: 2,
    what: 'complaint in capitals',
    steps: { job: (data) => rename(data, (text) => text.toUpperCase()) },
  },
  { to: 3, what: 'workshop only', steps: { workshop: () => ({}) } },
  { to: 4, what: 'complaint with a full stop', steps: { job: (data) => rename(data, (text) => `${text}.`) } },
];

function rename(data: unknown, change: (text: string) => string): unknown {
  const job = data as { complaint: string };
  return { ...job, complaint: change(job.complaint) };
}

describe('migrations', () => {
  const job = sampleJob('job-1', { complaint: 'sticks' });
  const complaint = (from: number) =>
    openEnvelope('job', { ...sealEnvelope('job', job), version: from }, STEPS).complaint;

  it('run in order from the version of the record, and only those after it', () => {
    expect(complaint(1)).toBe('STICKS.');
    expect(complaint(2)).toBe('sticks.');
    expect(complaint(3)).toBe('sticks.');
    expect(complaint(4)).toBe('sticks');
    expect(recordError(() => complaint(5)).kind).toBe('newer record');
  });

  it('pass kinds of record by that a step does not touch', () => {
    const data = { name: 'Shed' };
    expect(migrate('firing', data, 1, STEPS)).toBe(data);
  });

  it('leave no gap', () => {
    expect(versionAfter([])).toBe(1);
    expect(versionAfter(STEPS)).toBe(4);
    expect(() => versionAfter([STEPS[0]!, STEPS[2]!])).toThrow(RangeError);
    expect(() => versionAfter([STEPS[1]!])).toThrow(/must lead to 2/);
  });

  it('report a record they can’t bring up to date instead of throwing something else', () => {
    const error = recordError(() =>
      openEnvelope('job', { ...sealEnvelope('job', job), version: 1, data: null }, STEPS),
    );
    expect(error.kind).toBe('damaged');
    expect(error.message).toContain('version 1');
  });

  it('still check what comes out', () => {
    const breaking: Migration[] = [{ to: 2, what: 'breaks', steps: { job: () => ({}) } }];
    const error = recordError(() =>
      openEnvelope('job', { ...sealEnvelope('job', job), version: 1 }, breaking),
    );
    expect(error.kind).toBe('damaged');
  });
});

describe('records of version 1', () => {
  it('come up to date, with what nobody could have said then not stated', () => {
    const { data } = version1.job;
    const job = openEnvelope('job', version1.job);
    const setUp = { light: 'not stated', sensor: 'not stated', seenShare: null, linearity: null, note: '' };
    expect(job).toEqual({
      ...data,
      bandUnit: 'EV',
      decisionRule: 'simple',
      spreadLimit: null,
      profile: {
        governed: ['1', '1/2', '1/5', '1/10', '1/25', '1/50', '1/100'],
        pallet: ['1', '1/2', '1/5', '1/10'],
        booster: [],
        fromCentre: true,
      },
      checks: [],
      stages: {
        'as found': { ...data.stages['as found'], setUp },
        'as left': { ...data.stages['as left'], setUp },
      },
    });
    // What is told of such a job is told again when it is written.
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);

    const { data: row } = version1.firing;
    const firing = openEnvelope('firing', version1.firing);
    expect(firing).toEqual({
      ...row,
      figures: { ...row.figures, stoppedDown: null },
      reference: { ...row.reference, origin: 'slow firing' },
      setUp,
      clockCorrection: null,
      exercised: false,
    });
    expect(firing.measuringVersion).toBe(1);
    const bare = openEnvelope('firing', version1['firing without figures']);
    expect(bare).toMatchObject({ id: 'firing-2', reference: null, setAside: 'dial between two marks' });
    expect(openEnvelope('workshop', version1.workshop)).toEqual(version1.workshop.data);
    expect(openEnvelope('open job', version1['open job'])).toEqual({ id: 'job-1' });
  });

  it('are not changed by it, so that what is stored stays as it was', () => {
    const before = structuredClone(version1);
    openEnvelope('job', version1.job);
    openEnvelope('firing', version1.firing);
    expect(version1).toEqual(before);
  });

  it('are refused with a correction of the clock, which version 1 never applied', () => {
    const { firing } = version1;
    const odd = { ...firing, data: { ...firing.data, clockCorrection: 12 } };
    expect(recordError(() => openEnvelope('firing', odd))).toMatchObject({
      kind: 'damaged',
      path: 'clockCorrection',
    });
  });

  it('are two versions with the present one, without a gap', () => {
    expect(versionAfter(MIGRATIONS)).toBe(RECORD_VERSION);
    expect(RECORD_VERSION).toBe(2);
  });
});

describe('another series in a job', () => {
  const older = BUILT_IN_SERIES.find(({ id }) => id === 'older')!;
  const band = sampleJob().band;

  it('leaves what was said of the marks that stay, and gives new ones their usual place', () => {
    const { profile } = sampleJob();
    const job = sampleJob('job-1', {
      bands: { '1/60': band, '1/500': band },
      // The user knows better: no governor at 1 s, and a booster at 1/500.
      profile: {
        ...profile,
        governed: profile.governed.filter((label) => label !== '1'),
        pallet: profile.pallet.filter((label) => label !== '1'),
        booster: ['1/500'],
        fromCentre: false,
      },
    });
    const changed = withSeries(job, older);
    expect(changed.series).toBe(older);
    expect(changed.bands).toEqual({ '1/500': band });
    expect(changed.profile).toEqual({
      governed: ['1/2', '1/5', '1/10', '1/25', '1/50', '1/100'],
      pallet: ['1/2', '1/5', '1/10'],
      booster: ['1/500'],
      fromCentre: false,
    });
    expect(openEnvelope('job', sealEnvelope('job', changed))).toEqual(changed);
  });

  it('throws no outcome away', () => {
    const job = sampleJob();
    const outcomes = { '1/500': 'not tried', '1/60': 'stuck open' } as const;
    const stuck = {
      ...job,
      stages: { ...job.stages, 'as left': { ...job.stages['as left'], outcomes } },
    };
    const error = recordError(() => withSeries(stuck, older));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('1/60 (stuck open, as left)');
    expect(error.message).not.toContain('1/500');
  });
});

describe('new jobs', () => {
  const start = { id: 'a', number: '0007', received: '2024-05-02T09:30:00Z' };

  it('are valid and have nothing tried', () => {
    const job = newJob({ ...start, complaint: 'sticks' });
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
    expect(job).toMatchObject({ number: '0007', complaint: 'sticks', invented: false });
    expect(job.leastFirings).toEqual({ 'as found': 3, 'as left': 5 });
    expect(job.stages['as left'].assembly.mounting).toBe('not stated');
    expect(job.stages['as found'].outcomes).toEqual({});
    expect(job).toMatchObject({ decisionRule: 'simple', spreadLimit: null, bandUnit: 'EV', checks: [] });
    expect(job.stages['as left'].setUp).toMatchObject({ light: 'not stated', seenShare: null });
    expect(job.profile).toEqual({
      governed: ['1', '1/2', '1/4', '1/8', '1/15', '1/30', '1/60', '1/125'],
      pallet: ['1', '1/2', '1/4', '1/8'],
      booster: [],
      fromCentre: true,
    });
  });

  it('take their profile from the series they start with', () => {
    const series = BUILT_IN_SERIES.find(({ id }) => id === 'older-300')!;
    const { profile } = newJob({ ...start, series });
    expect(profile.governed).toEqual(['1', '1/2', '1/5', '1/10', '1/25', '1/50', '1/100']);
    expect(profile.pallet).toEqual(['1', '1/2', '1/5', '1/10']);
  });

  it('for demonstration say that they are invented', () => {
    const job = demonstrationJob(start);
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
    expect(job.invented).toBe(true);
    expect(job.camera.description).toContain('invented');
  });
});

describe('a firing taken apart', () => {
  it('gives samples a buffer of their own, so that a stream buffer is not stored with them', () => {
    const stream = new Uint8Array(100_000).fill(9);
    const record = sampleFiring();
    const { row, samples } = splitFiring({
      ...record,
      firing: { ...record.firing, samples: stream.subarray(500, 600) },
    });
    expect(row.firing.sampleCount).toBe(100);
    expect('samples' in row.firing).toBe(false);
    expect(samples.buffer.byteLength).toBe(100);
  });
});

describe('a firing without samples', () => {
  const { row } = splitFiring(sampleFiring());
  const { timed: _, ...sampled } = row.firing;
  const without = { ...sampled, ticksPerSample: 0, fullScale: 0, sampleCount: 0 };

  it('is sound from a board that times edges', () => {
    const firing = { ...without, timed: { open: row.firing.firstTick, close: row.firing.firstTick } };
    expect(openEnvelope('firing', sealEnvelope('firing', { ...row, firing })).firing).toEqual(firing);
  });

  it('is refused where nothing timed it', () => {
    const error = recordError(() => sealEnvelope('firing', { ...row, firing: without }));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('full scale');
  });
});
