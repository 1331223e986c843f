import { SET_UP_NOT_STATED } from '../../app/judge/set-up.ts';
import { NO_FIGURES } from '../../app/measure/figures.ts';
import type { Check, FiringRecord, Job } from '../../app/record/job.ts';
import { newJob } from '../../app/record/new-job.ts';
import { seconds, stops, ticks } from '../../firmware-protocol/units.ts';

export const sampleJob = (id = 'job-1', changes: Partial<Job> = {}): Job => ({
  ...newJob({ id, number: '0001', received: '2024-05-02T09:30:00+02:00' }),
  ...changes,
});

/** A firing with every figure there. */
export function sampleFiring(changes: Partial<FiringRecord> = {}): FiringRecord {
  return {
    id: 'firing-1',
    jobId: 'job-1',
    stage: 'as found',
    mark: '1/60',
    ordinal: 1,
    at: '2024-05-02T10:00:00.250+02:00',
    rest: null,
    board: {
      board: 'practice board',
      serial: '7',
      firmware: '1.0',
      image: '0badcafe',
      protocol: 1,
      practice: true,
    },
    firing: {
      channel: 0,
      tickHz: 16_000_000,
      firstTick: ticks(123_456_789_012),
      ticksPerSample: 416,
      samples: Uint8Array.from({ length: 1500 }, (_, i) => (i * 37) % 256),
      fullScale: 255,
      contact: [
        { tick: ticks(123_456_800_000), closed: true },
        { tick: ticks(123_457_000_000), closed: false, lost: 2 },
      ],
      contactClosedBefore: true,
      truncated: 'no',
      spoilt: null,
    },
    figures: {
      levels: {
        dark: 11.9,
        noise: 0.6,
        darkSamples: 380,
        open: 211.2,
        openOrigin: 'plateau',
        openUncertainty: 0.04,
      },
      effective: seconds(0.0163),
      effectiveWithRebound: seconds(0.0164),
      halfHeight: seconds(0.0163),
      total: seconds(0.0182),
      threshold: 0.012,
      efficiency: 0.8956,
      opening: seconds(0.0016),
      closing: seconds(0.0017),
      openingFull: seconds(0.002),
      closingFull: seconds(0.0021),
      fullyOpen: seconds(0.0142),
      stoppedDown: [0.0166, 0.0169, 0.0171, 0.0172, 0.0173, 0.0173].map(seconds),
      rebound: { effective: seconds(0.0001), peak: 0.06, delay: seconds(0.004) },
      instants: {
        firstLight: seconds(0.01),
        halfOpen: seconds(0.011),
        fullOpen: seconds(0.012),
        closingStart: seconds(0.0262),
        halfClosed: seconds(0.0273),
        lastLight: seconds(0.0282),
      },
      contact: {
        closed: seconds(0.0118),
        closedBefore: true,
        bounces: 2,
        bounceTime: seconds(0.0004),
        parted: seconds(0.0243),
        closedTime: seconds(0.0125),
        lost: 2,
        openAtClosure: 0.91,
        open80: seconds(0.0114),
        open90: seconds(0.0117),
        closing90: seconds(0.0266),
      },
      remarks: [{ code: 'rebound', value: 0.0061 }, { code: 'detector slow' }],
    },
    assembly: sampleJob().stages['as found'].assembly,
    reference: { height: 199.3, uncertainty: 0.05, firstTick: ticks(99), origin: 'light check' },
    setUp: {
      light: 'broad and even',
      sensor: 'at the film plane',
      seenShare: 0.9,
      linearity: 0.005,
      bandwidthHz: 48_400,
      note: 'lamp at 20 cm',
    },
    sync: 'X',
    clockCorrection: { ppm: -4321.5, uncertainty: 0.9, observedSeconds: 64.25 },
    exercised: false,
    measuringVersion: 3,
    setAside: null,
    movedFrom: [],
    ...changes,
  };
}

/** A firing that gave no figures at all, from a board that times edges only. */
export function bareFiring(changes: Partial<FiringRecord> = {}): FiringRecord {
  const { firing, ...rest } = sampleFiring();
  const { contactClosedBefore: _, ...known } = firing;
  return {
    ...rest,
    firing: {
      ...known,
      samples: new Uint8Array(),
      contact: [],
      timed: { open: ticks(5), close: ticks(9) },
      spoilt: 'data missing',
    },
    figures: { ...NO_FIGURES, remarks: [{ code: 'spoilt' }] },
    reference: null,
    setUp: SET_UP_NOT_STATED,
    sync: 'not stated',
    clockCorrection: null,
    ...changes,
  };
}

const when = { at: '2024-05-02T09:40:00+02:00', stage: 'as found' } as const;

/** One check of each kind. */
export const sampleChecks: readonly Check[] = [
  {
    kind: 'light',
    ...when,
    result: {
      dark: 11.9,
      noise: 0.6,
      darkSeconds: 1,
      openSeconds: 60,
      height: 199.3,
      heightUncertainty: 0.05,
      headroom: 0.17,
      flicker: { hertz: 100, amplitude: 0.02 },
      drift: { perMinute: -0.0012, uncertainty: 0.0003 },
      problems: ['flicker'],
    },
  },
  {
    kind: 'reference light',
    ...when,
    result: {
      pulses: [{ length: 0.0005, count: 26, error: -2.1e-6, sd: 7e-6, within: true }],
      limit: { seconds: 5e-6, share: 0.001 },
      passed: true,
    },
  },
  {
    kind: 'iris',
    ...when,
    result: {
      mark: '1/500',
      firingsOpen: 5,
      firingsStopped: 5,
      expected: stops(0.58),
      found: stops(0.55),
      interval: { lower: stops(0.5), upper: stops(0.6) },
      lightShare: 0.51,
      outcome: 'whole opening used',
    },
  },
  {
    kind: 'contact lead',
    ...when,
    result: { state: 'bounces', closures: 4, bounces: 3, seconds: 12.5 },
  },
];
