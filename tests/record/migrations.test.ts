import { describe, expect, it } from 'vitest';
import type { Migration } from '../../app/record/migration.ts';
import { MIGRATIONS, migrate, versionAfter } from '../../app/record/migrations.ts';
import { openEnvelope, RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import { thrownRecordError } from './record-under-test.ts';
import { sampleJob } from './sample-records.ts';
import version1 from './version-1.json' with { type: 'json' };
import version2 from './version-2.json' with { type: 'json' };
import version3 from './version-3.json' with { type: 'json' };

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
    expect(thrownRecordError(() => complaint(5)).kind).toBe('newer record');
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
    const error = thrownRecordError(() =>
      openEnvelope('job', { ...sealEnvelope('job', job), version: 1, data: null }, STEPS),
    );
    expect(error.kind).toBe('damaged');
    expect(error.message).toContain('version 1');
  });

  it('still check what comes out', () => {
    const breaking: Migration[] = [{ to: 2, what: 'breaks', steps: { job: () => ({}) } }];
    const error = thrownRecordError(() =>
      openEnvelope('job', { ...sealEnvelope('job', job), version: 1 }, breaking),
    );
    expect(error.kind).toBe('damaged');
  });
});

const setUp = {
  light: 'not stated',
  sensor: 'not stated',
  seenShare: null,
  linearity: null,
  bandwidthHz: null,
  note: '',
};

/** Nobody could state it before the fourth version. */
const withBandwidth = <Part extends { readonly setUp: object }>(part: Part) => ({
  ...part,
  setUp: { ...part.setUp, bandwidthHz: null },
});

/** A stage that no version before the third knew. */
const untried = {
  assembly: {
    mounting: 'not stated',
    cells: 'not stated',
    iris: '',
    release: 'not stated',
    cocking: 'not stated',
    attitude: '',
    temperature: null,
  },
  setUp,
  outcomes: {},
  sync: 'not stated',
  skipped: [],
};

/** What every job of before the third version is said to hold, besides its states and stages. */
const unsaid = {
  removed: null,
  steps: [],
  work: { done: '', parts: '', lubricants: '', remarks: '' },
  programme: null,
  flashDuration: 0.001,
  selfTimer: [],
  meter: null,
  mechanics: [],
  notes: [],
  issued: [],
};

describe('records of version 1', () => {
  it('come up to date, with what nobody could have said then not stated', () => {
    const { data } = version1.job;
    const job = openEnvelope('job', version1.job);
    expect(job).toEqual({
      ...data,
      ...unsaid,
      states: [{ state: 'received', at: data.received }],
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
      leastFirings: { 'as found': 3, trials: 3, 'after rest': 3, 'as left': 5 },
      stages: {
        'as found': { ...data.stages['as found'], setUp, sync: 'not stated', skipped: [] },
        trials: untried,
        'after rest': untried,
        'as left': { ...data.stages['as left'], setUp, sync: 'not stated', skipped: [] },
      },
    });
    // What is told of such a job is told again when it is written.
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);

    const { data: row } = version1.firing;
    const firing = openEnvelope('firing', version1.firing);
    expect(firing).toEqual({
      ...row,
      figures: { ...row.figures, stoppedDown: null, contact: null },
      reference: { ...row.reference, origin: 'slow firing' },
      setUp,
      sync: 'not stated',
      clockCorrection: null,
      exercised: false,
    });
    expect(firing.measuringVersion).toBe(1);
    const bare = openEnvelope('firing', version1['firing without figures']);
    expect(bare).toMatchObject({ id: 'firing-2', reference: null, setAside: 'dial between two marks' });
    expect(openEnvelope('workshop', version1.workshop)).toEqual({ ...version1.workshop.data, logo: null });
    expect(openEnvelope('open job', version1['open job'])).toEqual({ id: 'job-1' });
  });

  it('are refused with a correction of the clock, which version 1 never applied', () => {
    const { firing } = version1;
    const odd = { ...firing, data: { ...firing.data, clockCorrection: 12 } };
    expect(thrownRecordError(() => openEnvelope('firing', odd))).toMatchObject({
      kind: 'damaged',
      path: 'clockCorrection',
    });
  });
});

describe('records of version 2', () => {
  it('keep all they say, and say nothing of what they could not know', () => {
    const { data } = version2.job;
    const job = openEnvelope('job', version2.job);
    expect(job).toEqual({
      ...data,
      ...unsaid,
      // The first check of the instrument tells when the job was on the bench.
      states: [
        { state: 'received', at: data.received },
        { state: 'on the bench', at: data.checks[0]!.at },
      ],
      leastFirings: { 'as found': 3, trials: 3, 'after rest': 3, 'as left': 5 },
      stages: {
        'as found': { ...withBandwidth(data.stages['as found']), sync: 'not stated', skipped: [] },
        trials: untried,
        'after rest': untried,
        'as left': { ...withBandwidth(data.stages['as left']), sync: 'not stated', skipped: [] },
      },
    });
    expect(job.stages['as found'].outcomes).toEqual({ '1': 'stuck open' });
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);

    for (const sealed of [version2.firing, version2['firing without figures']]) {
      const firing = openEnvelope('firing', sealed);
      const figures = { ...sealed.data.figures, contact: null };
      expect(firing).toEqual({ ...withBandwidth(sealed.data), figures, sync: 'not stated' });
      expect(openEnvelope('firing', sealEnvelope('firing', firing))).toEqual(firing);
    }
    expect(openEnvelope('workshop', version2.workshop)).toEqual({ ...version2.workshop.data, logo: null });
    expect(openEnvelope('open job', version2['open job'])).toEqual({ id: 'job-2' });
  });

  it('without a check were received, and no more is known', () => {
    const { data } = version2['job without checks'];
    const job = openEnvelope('job', version2['job without checks']);
    expect(job.states).toEqual([{ state: 'received', at: data.received }]);
    expect(job.invented).toBe(true);
  });
});

describe('records of version 3', () => {
  it('keep all they say; the bandwidth of the sensor is not stated', () => {
    const { data } = version3.job;
    const job = openEnvelope('job', version3.job);
    const stages = Object.entries(data.stages).map(([stage, state]) => [stage, withBandwidth(state)]);
    expect(stages).toHaveLength(4);
    expect(job).toEqual({ ...data, stages: Object.fromEntries(stages) });
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
    for (const sealed of [version3.firing, version3['firing without figures']]) {
      const firing = openEnvelope('firing', sealed);
      expect(firing).toEqual(withBandwidth(sealed.data));
      expect(openEnvelope('firing', sealEnvelope('firing', firing))).toEqual(firing);
    }
    for (const type of ['workshop', 'preferences', 'known board', 'open job'] as const)
      expect(openEnvelope(type, version3[type])).toEqual(version3[type].data);
  });
});

describe('records of older versions', () => {
  it('are not changed by it, so that what is stored stays as it was', () => {
    const before = structuredClone([version1, version2, version3]);
    openEnvelope('job', version1.job);
    openEnvelope('firing', version1.firing);
    openEnvelope('job', version2.job);
    openEnvelope('firing', version2.firing);
    openEnvelope('workshop', version2.workshop);
    openEnvelope('job', version3.job);
    openEnvelope('firing', version3.firing);
    expect([version1, version2, version3]).toEqual(before);
  });

  it('are four versions with the present one, without a gap', () => {
    expect(versionAfter(MIGRATIONS)).toBe(RECORD_VERSION);
    expect(RECORD_VERSION).toBe(4);
  });
});
