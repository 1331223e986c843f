/** A job in which every field says something, and what belongs to a workshop. */
import { DEFAULT_PREFERENCES } from '../../app/record/default-preferences.ts';
import type { Job, Picture, Workshop } from '../../app/record/job.ts';
import type { KnownBoard, Preferences } from '../../app/record/preferences.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { sampleChecks, sampleJob } from './sample-records.ts';

const at = '2024-05-03T11:00:00+02:00';

export function fullJob(id = 'job-1', changes: Partial<Job> = {}): Job {
  const { stages, band } = sampleJob();
  return sampleJob(id, {
    states: [
      { state: 'received', at: '2024-05-02T09:30:00+02:00' },
      { state: 'waiting for parts', at },
    ],
    removed: at,
    bands: { '1/60': { ...band } },
    bandUnit: '%',
    decisionRule: 'guard band',
    spreadLimit: stops(0.1),
    checks: sampleChecks,
    stages: {
      ...stages,
      trials: { ...stages.trials, outcomes: { '1/60': 'stuck open' }, sync: 'M', skipped: [1] },
    },
    steps: [
      {
        id: 'step-1',
        at,
        afterFiring: 0,
        kind: 'governor',
        direction: 'in',
        amount: { value: 0.5, unit: 'mm' },
        note: '',
      },
      {
        id: 'step-2',
        at,
        afterFiring: 7,
        kind: 'cleaned',
        direction: null,
        amount: null,
        note: 'blades, twice',
      },
    ],
    work: { done: 'cleaned', parts: 'one spring', lubricants: 'none', remarks: 'keep it dry' },
    programme: {
      id: 'p',
      name: 'short',
      steps: [
        { mark: '1/60', firings: 5 },
        { mark: '1/500', firings: 3 },
      ],
    },
    selfTimer: [{ id: 'run-1', at, seconds: 9.4, startedBy: 'key', setAside: 'bumped' }],
    meter: {
      notation: 'f-number and time',
      iso: 100,
      constant: { kind: 'K', value: 12.5 },
      cell: 'selenium',
      battery: null,
      source: { words: 'lamp panel', uncertainty: stops(0.2) },
      points: [
        { id: 'point-1', light: 4000, reading: { fNumber: 8, seconds: 1 / 500 }, note: '' },
        { id: 'point-2', light: 31.5, reading: { ev: 8 }, note: 'needle sticks' },
      ],
    },
    mechanics: [{ id: 'focus', name: 'Focus', state: 'adjusted', note: 'infinity' }],
    notes: [{ id: 'note-1', at, text: 'short screw at the release', picture: 'picture-1', onJobSheet: true }],
    issued: [{ kind: 'certificate', number: '0001-1', at, dataSha256: '0'.repeat(64) }],
    ...changes,
  });
}

export const samplePicture = (changes: Partial<Picture> = {}): Picture => ({
  id: 'picture-1',
  jobId: 'job-1',
  type: 'image/jpeg',
  width: 640,
  height: 480,
  bytes: Uint8Array.from({ length: 300 }, (_, i) => (i * 11) % 256),
  ...changes,
});

export const sampleWorkshop: Workshop = {
  name: 'Shed',
  address: 'Lantern Lane 5',
  signatory: 'N. N.',
  logo: { type: 'image/png', width: 20, height: 10, bytes: Uint8Array.of(1, 2, 3) },
};

export const samplePreferences: Preferences = {
  ...DEFAULT_PREFERENCES,
  papers: { title: 'test report', size: 'Letter', dates: 'year-month-day' },
  series: [{ id: 'own', name: 'Own', speeds: [{ label: '1/75', marked: seconds(1 / 75), exact: null }] }],
  programmes: [{ id: 'p', name: 'short', steps: [{ mark: '1/75', firings: 2 }] }],
  checkLists: [{ id: 'l', name: 'Box', items: ['Focus', 'Back catch'] }],
  voice: { on: true, volume: 1, voice: 'Somebody' },
  keys: { 'next mark': 'KeyN', undo: 'F9' },
  backUp: { everyDays: null, last: at },
};

export const sampleBoard = (changes: Partial<KnownBoard> = {}): KnownBoard => ({
  serial: '7',
  board: 'a board',
  firmware: '1.0',
  image: '0badcafe',
  lastSeen: at,
  clock: { at, correction: { ppm: 12, uncertainty: 0.5, observedSeconds: 90 } },
  lightCheck: { at, problems: 1 },
  referenceLight: { at, passed: true },
  ...changes,
});
