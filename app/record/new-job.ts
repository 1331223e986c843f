import { BAND_PRESETS } from '../judge/bands.ts';
import { profileOf } from '../judge/profile.ts';
import { LEAF_SERIES } from '../judge/series.ts';
import { SET_UP_NOT_STATED, type SetUp } from '../judge/set-up.ts';
import type { Assembly, Job } from './job.ts';

/** What the caller must bring, since it needs a clock, a counter or chance, and whatever it wants otherwise. */
export type JobStart = Pick<Job, 'id' | 'number' | 'received'> & Partial<Omit<Job, 'invented' | 'stages'>>;

/** Papers print nothing about the state of a shutter that nobody has said. */
const NOT_STATED: Assembly = {
  mounting: 'not stated',
  cells: 'not stated',
  iris: '',
  release: 'not stated',
  cocking: 'not stated',
  attitude: '',
  temperature: null,
};

/**
 * A job with nothing tried yet: a leaf shutter 1 … 1/500 against its engraved times, the band for negative
 * film, three firings as found and five as left (common practice, no source). How light, sensor and shutter
 * stand is for the user to say.
 */
export function newJob(start: JobStart): Job {
  return {
    customer: { name: '', contact: '' },
    camera: { description: '', bodySerial: '', shutter: '', shutterSerial: '', lens: '', lensSerial: '' },
    complaint: '',
    series: LEAF_SERIES,
    referenceRule: 'marked',
    band: BAND_PRESETS.find(({ id }) => id === 'negative')!.band,
    bands: {},
    bandUnit: 'EV',
    decisionRule: 'simple',
    spreadLimit: null,
    profile: profileOf(start.series ?? LEAF_SERIES),
    checks: [],
    leastFirings: { 'as found': 3, 'as left': 5 },
    ...start,
    stages: {
      'as found': { assembly: NOT_STATED, setUp: SET_UP_NOT_STATED, outcomes: {} },
      'as left': { assembly: NOT_STATED, setUp: SET_UP_NOT_STATED, outcomes: {} },
    },
    invented: false,
  };
}

/** A job to try the page with. Camera, owner and numbers are our own invention, and the job says so. */
export function demonstrationJob(start: Pick<Job, 'id' | 'number' | 'received'>): Job {
  const job = newJob({
    ...start,
    customer: { name: 'Demonstration customer (invented)', contact: 'Lantern Lane 5, Nowhere-on-Sea' },
    camera: {
      description: 'Kittiwake 6×6 folding camera (invented)',
      bodySerial: 'KW-20417',
      shutter: 'Brackwater leaf shutter (invented)',
      shutterSerial: 'BW 77312',
      lens: 'Brackwater 75 mm f/3.5 (invented)',
      lensSerial: 'BW 5190',
    },
    complaint: 'Slow speeds drag after a winter in the attic.',
  });
  const bare: Assembly = {
    ...NOT_STATED,
    mounting: 'bare',
    cells: 'in',
    iris: 'wide open',
    release: 'by hand',
    cocking: 'lever',
  };
  // As left means the way the camera is used: in the body, released and wound through it.
  const used: Assembly = { ...bare, mounting: 'in the body', release: 'body', cocking: 'film advance' };
  const setUp: SetUp = {
    light: 'broad and even',
    sensor: 'at the film plane',
    seenShare: 1,
    linearity: 0.005,
    note: 'opal lamp panel right before the lens (invented)',
  };
  const stages = {
    'as found': { assembly: bare, setUp, outcomes: {} },
    'as left': { assembly: used, setUp, outcomes: {} },
  };
  return { ...job, stages, invented: true };
}
