import { profileOf } from '../judge/profile.ts';
import { SET_UP_NOT_STATED } from '../judge/set-up.ts';
import { DEFAULT_PREFERENCES } from './default-preferences.ts';
import { fittingProgramme } from './fitting-programme.ts';
import type { Assembly, Job, Stage } from './job.ts';
import { jobDefaults } from './job-defaults.ts';

/** What the caller must bring, since it needs a clock, a counter or chance, and whatever it wants otherwise. */
export type JobStart = Pick<Job, 'id' | 'number' | 'received'> & Partial<Omit<Job, 'invented' | 'stages'>>;

/** Papers print nothing about the state of a shutter that nobody has said. */
export const NOT_STATED: Assembly = {
  mounting: 'not stated',
  cells: 'not stated',
  iris: '',
  release: 'not stated',
  cocking: 'not stated',
  attitude: '',
  temperature: null,
};

const UNTRIED: Stage = {
  assembly: NOT_STATED,
  setUp: SET_UP_NOT_STATED,
  outcomes: {},
  sync: 'not stated',
  skipped: [],
};

/**
 * A job just received, with nothing tried yet. What `start` leaves open is as DEFAULT_PREFERENCES say; give the
 * workshop's own with jobDefaults. How light, sensor and shutter stand is for the user to say. Steps of the
 * programme at marks that the series has not are left out.
 */
export function newJob(start: JobStart): Job {
  const settled = { ...jobDefaults(DEFAULT_PREFERENCES), ...start };
  const { series, programme } = settled;
  return {
    states: [{ state: 'received', at: start.received }],
    removed: null,
    customer: { name: '', contact: '' },
    camera: { description: '', bodySerial: '', shutter: '', shutterSerial: '', lens: '', lensSerial: '' },
    complaint: '',
    bands: {},
    profile: profileOf(series),
    checks: [],
    steps: [],
    work: { done: '', parts: '', lubricants: '', remarks: '' },
    selfTimer: [],
    meter: null,
    notes: [],
    issued: [],
    ...settled,
    programme: programme && fittingProgramme(programme, series),
    stages: { 'as found': UNTRIED, trials: UNTRIED, 'after rest': UNTRIED, 'as left': UNTRIED },
    invented: false,
  };
}

/**
 * A job for a camera that was here before: camera, series, profile and bands as they were then, and its list of
 * mechanical checks with none of them made; whatever else from `start`. Nothing of the former customer, of what
 * was wrong then or of what was found comes along.
 */
export function returningJob(start: JobStart, earlier: Job): Job {
  const { camera, series, referenceRule, band, bands, bandUnit, profile } = earlier;
  const job = newJob({ ...start, camera, series, referenceRule, band, bands, bandUnit, profile });
  if (earlier.mechanics.length === 0) return job;
  const mechanics = earlier.mechanics.map(({ id, name }) => ({
    id,
    name,
    state: 'not tested' as const,
    note: '',
  }));
  return { ...job, mechanics };
}
