import { describe, expect, it } from 'vitest';
import { BUILT_IN_SERIES, LEAF_SERIES } from '../../app/judge/series.ts';
import { DEFAULT_PREFERENCES } from '../../app/record/default-preferences.ts';
import { demonstrationJob } from '../../app/record/demonstration-job.ts';
import type { Job } from '../../app/record/job.ts';
import { jobDefaults } from '../../app/record/job-defaults.ts';
import { MECHANICAL_LISTS, mechanicalChecks } from '../../app/record/mechanical-lists.ts';
import { newJob, returningJob } from '../../app/record/new-job.ts';
import { openEnvelope, sealEnvelope } from '../../app/record/schema.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { fullJob, samplePreferences } from './sample-job-parts.ts';
import { sampleJob } from './sample-records.ts';

const start = { id: 'a', number: '0007', received: '2024-05-02T09:30:00Z' };
const isSound = (job: Job) => expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);

describe('new jobs', () => {
  it('are valid and have nothing tried', () => {
    const job = newJob({ ...start, complaint: 'sticks' });
    isSound(job);
    expect(job).toMatchObject({ number: '0007', complaint: 'sticks', invented: false });
    expect(job.states).toEqual([{ state: 'received', at: start.received }]);
    expect(job.leastFirings).toEqual({ 'as found': 3, trials: 3, 'after rest': 3, 'as left': 5 });
    for (const stage of Object.values(job.stages)) {
      expect(stage.assembly.mounting).toBe('not stated');
      expect(stage.setUp).toMatchObject({ light: 'not stated', seenShare: null });
      expect(stage).toMatchObject({ outcomes: {}, sync: 'not stated', skipped: [] });
    }
    expect(job).toMatchObject({ decisionRule: 'simple', spreadLimit: null, bandUnit: 'EV', checks: [] });
    expect(job).toMatchObject({ meter: null, programme: null, removed: null, flashDuration: 0.001 });
    expect(job.profile).toEqual({
      governed: ['1', '1/2', '1/4', '1/8', '1/15', '1/30', '1/60', '1/125'],
      pallet: ['1', '1/2', '1/4', '1/8'],
      booster: [],
      fromCentre: true,
    });
  });

  it('take their profile from the series they start with, and of a programme what the series has', () => {
    const series = BUILT_IN_SERIES.find(({ id }) => id === 'older-300')!;
    const programme = {
      id: 'p',
      name: 'short',
      steps: ['1/60', '1/300'].map((mark) => ({ mark, firings: 3 })),
    };
    const job = newJob({ ...start, series, programme });
    isSound(job);
    expect(job.profile.governed).toEqual(['1', '1/2', '1/5', '1/10', '1/25', '1/50', '1/100']);
    expect(job.profile.pallet).toEqual(['1', '1/2', '1/5', '1/10']);
    expect(job.programme?.steps).toEqual([{ mark: '1/300', firings: 3 }]);
  });
});

describe('the defaults of a workshop', () => {
  const preferences = {
    ...samplePreferences,
    defaults: {
      ...samplePreferences.defaults,
      seriesId: 'own',
      band: { lower: stops(-1), upper: stops(0.5) },
      bandUnit: '%' as const,
      decisionRule: 'guard band' as const,
      spreadLimit: stops(0.2),
      leastFirings: { 'as found': 1, trials: 2, 'after rest': 3, 'as left': 4 },
      flashDuration: seconds(0.002),
      programmeId: 'p',
      checkListId: 'l',
    },
  };

  it('go into a new job, its own lists among them', () => {
    const job = newJob({ ...jobDefaults(preferences), ...start });
    isSound(job);
    const { seriesId: _, programmeId: __, checkListId: ___, ...copied } = preferences.defaults;
    expect(job).toMatchObject(copied);
    expect(job.series).toEqual(samplePreferences.series[0]);
    expect(job.programme).toEqual(samplePreferences.programmes[0]);
    expect(job.mechanics.map(({ name, state }) => [name, state])).toEqual([
      ['Focus', 'not tested'],
      ['Back catch', 'not tested'],
    ]);
  });

  it('find series and lists that are built in', () => {
    const defaults = {
      ...preferences.defaults,
      seriesId: 'older',
      checkListId: 'twin-lens',
      programmeId: null,
    };
    const job = newJob({ ...jobDefaults({ ...preferences, defaults }), ...start });
    isSound(job);
    expect(job.series.id).toBe('older');
    expect(job.mechanics.length).toBeGreaterThan(10);
  });

  it('do without what is no longer there', () => {
    const defaults = { ...preferences.defaults, seriesId: 'gone', programmeId: 'gone', checkListId: 'gone' };
    const job = newJob({ ...jobDefaults({ ...preferences, defaults }), ...start });
    isSound(job);
    expect(job).toMatchObject({ series: LEAF_SERIES, programme: null, mechanics: [] });
    // The programme is there, but not one of its marks is on the series.
    const other = { ...preferences.defaults, seriesId: 'leaf' };
    expect(jobDefaults({ ...preferences, defaults: other }).programme).toBeNull();
  });

  it('are those of a new job where the workshop said nothing', () => {
    expect(newJob({ ...jobDefaults(DEFAULT_PREFERENCES), ...start })).toEqual(newJob(start));
  });
});

describe('a camera that comes back', () => {
  const series = BUILT_IN_SERIES.find(({ id }) => id === 'older')!;
  const earlier = newJob({
    ...fullJob('earlier'),
    customer: { name: 'Former owner', contact: 'former address' },
    camera: { ...sampleJob().camera, bodySerial: 'KW-20417', description: 'Kittiwake' },
    complaint: 'former complaint',
    series,
    programme: null,
    band: { lower: stops(-1), upper: stops(1) },
    bands: { '1/100': { lower: stops(-0.3), upper: stops(0.3) } },
    profile: { governed: ['1'], pallet: [], booster: ['1/500'], fromCentre: false },
  });

  it('brings what belongs to the camera', () => {
    const job = returningJob({ ...jobDefaults(DEFAULT_PREFERENCES), ...start }, earlier);
    isSound(job);
    const { camera, band, bands, bandUnit, profile, referenceRule } = earlier;
    expect(job).toMatchObject({ ...start, camera, series, band, bands, bandUnit, profile, referenceRule });
    expect(job.mechanics).toEqual([{ id: 'focus', name: 'Focus', state: 'not tested', note: '' }]);
  });

  it('brings nothing of its former owner, of what was found or of what was done', () => {
    const job = returningJob({ ...start, customer: { name: 'New owner', contact: '' } }, earlier);
    expect(job.customer).toEqual({ name: 'New owner', contact: '' });
    expect(JSON.stringify(job)).not.toContain('ormer');
    const { complaint, checks, steps, work, selfTimer, meter, notes, issued, states, removed } =
      newJob(start);
    expect(job).toMatchObject({
      complaint,
      checks,
      steps,
      work,
      selfTimer,
      meter,
      notes,
      issued,
      states,
      removed,
    });
    expect(job.stages).toEqual(newJob(start).stages);
  });

  it('takes the list of checks of the workshop where it had none', () => {
    const mechanics = mechanicalChecks(MECHANICAL_LISTS[0]!);
    expect(returningJob({ ...start, mechanics }, { ...earlier, mechanics: [] }).mechanics).toEqual(mechanics);
  });
});

describe('the demonstration job', () => {
  const job = demonstrationJob(start);

  it('is valid and says that it is invented', () => {
    isSound(job);
    expect(job.invented).toBe(true);
    for (const said of [
      job.camera.description,
      ...Object.values(job.work),
      ...job.notes.map(({ text }) => text),
    ])
      expect(said).toContain('invented');
    for (const { state, note } of job.mechanics)
      expect(note).toMatch(state === 'not tested' ? /^$/ : /invented/);
  });

  it('leaves to be tested what the practice bench can show', () => {
    const open = job.mechanics.filter(({ state }) => state === 'not tested').map(({ name }) => name);
    expect(open).toEqual(['B and T', 'Self-timer', 'Flash contact']);
  });
});

describe('the lists of mechanical checks', () => {
  it('have names and checks of their own, each once', () => {
    expect(new Set(MECHANICAL_LISTS.map(({ id }) => id)).size).toBe(MECHANICAL_LISTS.length);
    for (const { items } of MECHANICAL_LISTS) expect(new Set(items).size).toBe(items.length);
  });

  it.each(['folding', 'twin-lens', 'focal-plane reflex', 'focal-plane rangefinder'])(
    'look at everything about a whole camera (%s)',
    (id) => {
      const text = MECHANICAL_LISTS.find((list) => list.id === id)!.items.join('; ');
      const subjects = [
        /cocking.*film-advance/i,
        /blocked when not cocked/,
        /double-exposure/i,
        /click stops/i,
        /aperture ring/i,
        /blades/,
        /B and T/,
        /self-timer/i,
        /flash contact/i,
        /lens.*seating and play/i,
        /focus/i,
        /back catch/i,
        /light seals/i,
        /covering/i,
      ];
      for (const subject of subjects) expect(text).toMatch(subject);
    },
  );
});
