/** A job and its firings for the tests of this folder. All of it is invented. */

import type { CertificateInput, CertifiedFiring } from '../../app/certificate/certificate.ts';
import { profileOf } from '../../app/judge/profile.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import type { SetUp } from '../../app/judge/set-up.ts';
import type { Series } from '../../app/judge/verdict.ts';
import { type Figures, NO_FIGURES } from '../../app/measure/figures.ts';
import type { Assembly, Check, Job, Stage, StageId } from '../../app/record/job.ts';
import { seconds, stops, ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';

const bench: Assembly = {
  mounting: 'bare',
  cells: 'out',
  iris: 'wide open',
  release: 'cable',
  cocking: 'lever',
  attitude: 'lens level',
  temperature: 21,
};

const setUp: SetUp = {
  light: 'broad and even',
  sensor: 'at the film plane',
  seenShare: 0.95,
  linearity: 0.005,
  bandwidthHz: 48_400,
  note: 'opal lamp 10 cm before the lens',
};

const untried: Stage = { assembly: bench, setUp, outcomes: {}, sync: 'not stated', skipped: [] };

/** Checks of the instrument as found, none as left. */
const checks: readonly Check[] = [
  {
    kind: 'light',
    at: '2031-03-03T09:40:00+01:00',
    stage: 'as found',
    result: {
      dark: 11.9,
      noise: 0.62,
      darkSeconds: 2,
      openSeconds: 60,
      height: 199.3,
      heightUncertainty: 0.05,
      headroom: 0.17,
      flicker: { hertz: 100, amplitude: 0.024 },
      drift: { perMinute: -0.0012, uncertainty: 0.0003 },
      problems: ['flicker'],
    },
  },
  {
    kind: 'light',
    at: '2031-03-03T09:50:00+01:00',
    stage: 'as found',
    result: {
      dark: 12.1,
      noise: 0.6,
      darkSeconds: 2,
      openSeconds: 5,
      height: 201.4,
      heightUncertainty: 0.05,
      headroom: 0.16,
      flicker: null,
      drift: null,
      problems: [],
    },
  },
  {
    kind: 'reference light',
    at: '2031-03-03T09:55:00+01:00',
    stage: 'as found',
    result: {
      pulses: [0.0005, 0.001, 0.002, 0.004, 0.008, 0.016, 0.06, 0.25, 0.5].map((length, i) => ({
        length,
        count: 20,
        error: (i - 4) * 1.3e-6,
        sd: 7e-6,
        within: true,
      })),
      limit: { seconds: 5e-6, share: 0.002 },
      passed: true,
    },
  },
  {
    kind: 'iris',
    at: '2031-03-03T09:58:00+01:00',
    stage: 'as found',
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
];

export function inventedJob(changes: Partial<Job> = {}): Job {
  return {
    id: 'job-1',
    number: 'J-0042',
    received: '2031-03-02T09:15:00+01:00',
    customer: { name: 'Ida Beispiel', contact: 'ida@example.org' },
    camera: {
      description: 'Folding camera, 6 × 9, “Probe II”',
      bodySerial: '1204',
      shutter: 'Leaf shutter, size 0',
      shutterSerial: '88-301',
      lens: 'Triplet 105 mm f/4.5',
      lensSerial: '',
    },
    complaint: 'Slow speeds hang in the cold',
    series: LEAF_SERIES,
    referenceRule: 'marked',
    band: { lower: stops(-1 / 3), upper: stops(1 / 3) },
    bands: { '1/500': { lower: stops(-0.2), upper: stops(0.5) } },
    leastFirings: { 'as found': 3, trials: 3, 'after rest': 3, 'as left': 5 },
    bandUnit: 'EV',
    decisionRule: 'simple',
    spreadLimit: stops(0.15),
    profile: profileOf(LEAF_SERIES),
    checks,
    stages: {
      'as found': { ...untried, assembly: bench, outcomes: { '1': 'did not fire' } },
      trials: untried,
      'after rest': untried,
      'as left': {
        ...untried,
        assembly: {
          ...bench,
          mounting: 'in the body',
          cells: 'in',
          cocking: 'film advance',
          temperature: 22.5,
        },
        outcomes: { B: 'not tried' },
      },
    },
    states: [
      { state: 'received', at: '2031-03-02T09:15:00+01:00' },
      { state: 'finished', at: '2031-03-06T11:50:00+01:00' },
    ],
    removed: null,
    steps: [],
    work: { done: '', parts: '', lubricants: '', remarks: '' },
    programme: null,
    flashDuration: seconds(1e-3),
    selfTimer: [],
    meter: null,
    mechanics: [],
    notes: [],
    issued: [],
    invented: true,
    ...changes,
  };
}

export function inventedFigures(time: number, changes: Partial<Figures> = {}): Figures {
  return {
    ...NO_FIGURES,
    effective: seconds(time),
    effectiveWithRebound: seconds(time),
    halfHeight: seconds(time),
    total: seconds(time * 1.2),
    threshold: 0.01,
    efficiency: 0.83,
    ...changes,
  };
}

export function inventedFiring(
  stage: StageId,
  mark: string,
  ordinal: number,
  figures: Figures,
  changes: Partial<CertifiedFiring> = {},
): CertifiedFiring {
  return {
    id: `firing-${ordinal}`,
    jobId: 'job-1',
    stage,
    mark,
    ordinal,
    at: stage === 'as found' ? '2031-03-03T10:00:00+01:00' : '2031-03-05T16:20:00+01:00',
    rest: null,
    board: {
      board: 'Uno class',
      serial: 'LC-7',
      firmware: '1.0.0',
      image: '1A2B3C4D',
      protocol: 1,
      practice: false,
    },
    firing: {
      spoilt: null,
      tickHz: 16_000_000,
      firstTick: ticks(ordinal * 160_000_000),
      ticksPerSample: 416,
    },
    figures,
    assembly: inventedJob().stages[stage].assembly,
    reference: null,
    setUp,
    clockCorrection: { ppm: 4321.2, uncertainty: 1.4, observedSeconds: 60 + ordinal },
    sync: 'not stated',
    exercised: false,
    measuringVersion: 2,
    setAside: null,
    movedFrom: [],
    ...changes,
  };
}

/** Three firings as found (slow, scattered) and five as left (good) of each timed mark but the first found. */
export function inventedFirings(series: Series, seed = 1): CertifiedFiring[] {
  const random = seededRandom(seed);
  const firings: CertifiedFiring[] = [];
  const fire = (stage: StageId, count: number, offset: number, scatter: number) => {
    for (const speed of series.speeds) {
      if (speed.marked === null || (stage === 'as found' && speed.label === '1')) continue;
      for (let i = 0; i < count; i++) {
        const error = offset + (random() - 0.5) * scatter + (speed.label === '1/500' ? 0.35 : 0);
        const figures = inventedFigures(speed.marked * 2 ** error);
        firings.push(inventedFiring(stage, speed.label, firings.length + 1, figures));
      }
    }
  };
  fire('as found', 3, 0.4, 0.5);
  fire('as left', 5, 0.03, 0.06);
  return firings;
}

export function inventedInput(changes: Partial<CertificateInput> = {}): CertificateInput {
  const job = changes.job ?? inventedJob();
  return {
    workshop: {
      name: 'Musterwerkstatt Blendenstern',
      address: 'Erfundene Gasse 7\n12345 Nirgendwo',
      signatory: 'A. Niemand',
      logo: null,
    },
    job,
    firings: inventedFirings(job.series),
    issued: '2031-03-06T12:00:00+01:00',
    certificateNumber: 'LC-2031-0007',
    paper: 'A4',
    title: 'certificate',
    dates: 'year-month-day',
    dataFile: null,
    ...changes,
  };
}
