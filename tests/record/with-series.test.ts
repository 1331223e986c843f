import { describe, expect, it } from 'vitest';
import { BUILT_IN_SERIES } from '../../app/judge/series.ts';
import { openEnvelope, sealEnvelope } from '../../app/record/schema.ts';
import { withSeries } from '../../app/record/with-series.ts';
import { thrownRecordError } from './record-under-test.ts';
import { sampleJob } from './sample-records.ts';

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
    const error = thrownRecordError(() => withSeries(stuck, older));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('1/60 (stuck open, as left)');
    expect(error.message).not.toContain('1/500');
  });

  it('takes the steps of the programme along that it has marks for, and knows which of them were skipped', () => {
    const steps = ['1', '1/60', '1/500', '1/30', '1/2'].map((mark) => ({ mark, firings: 3 }));
    const { stages } = sampleJob();
    const job = sampleJob('job-1', {
      programme: { id: 'p', name: 'all', steps },
      stages: { ...stages, trials: { ...stages.trials, skipped: [1, 2, 4] } },
    });
    const changed = withSeries(job, older);
    expect(changed.programme?.steps.map(({ mark }) => mark)).toEqual(['1', '1/500', '1/2']);
    // The second was 1/60, which is gone; 1/500 and 1/2 have moved up.
    expect(changed.stages.trials.skipped).toEqual([1, 2]);
    expect(changed.stages['as found']).toEqual(job.stages['as found']);

    const one = { ...job, programme: { id: 'p', name: 'one', steps: steps.slice(1, 2) } };
    const without = withSeries(one, older);
    expect(without.programme).toBeNull();
    expect(without.stages.trials.skipped).toEqual([]);
    expect(openEnvelope('job', sealEnvelope('job', without))).toEqual(without);
  });
});
