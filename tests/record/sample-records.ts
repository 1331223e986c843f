import { NO_FIGURES } from '../../app/measure/figures.ts';
import type { FiringRecord, Job } from '../../app/record/job.ts';
import { newJob } from '../../app/record/new-job.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';

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
      contact: [{ tick: ticks(123_456_800_000), closed: true }],
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
      rebound: { effective: seconds(0.0001), peak: 0.06, delay: seconds(0.004) },
      instants: {
        firstLight: seconds(0.01),
        halfOpen: seconds(0.011),
        fullOpen: seconds(0.012),
        closingStart: seconds(0.0262),
        halfClosed: seconds(0.0273),
        lastLight: seconds(0.0282),
      },
      remarks: [{ code: 'rebound', value: 0.0061 }, { code: 'detector slow' }],
    },
    assembly: sampleJob().stages['as found'].assembly,
    reference: { height: 199.3, uncertainty: 0.05, firstTick: ticks(99) },
    clockCorrection: null,
    measuringVersion: 1,
    setAside: null,
    movedFrom: [],
    ...changes,
  };
}

/** A firing that gave no figures at all, from a board that times edges only. */
export function bareFiring(changes: Partial<FiringRecord> = {}): FiringRecord {
  const { firing, ...rest } = sampleFiring();
  return {
    ...rest,
    firing: {
      ...firing,
      samples: new Uint8Array(),
      contact: [],
      timed: { open: ticks(5), close: ticks(9) },
      spoilt: 'data missing',
    },
    figures: { ...NO_FIGURES, remarks: [{ code: 'spoilt' }] },
    reference: null,
    ...changes,
  };
}
