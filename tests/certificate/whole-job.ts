/** An invented job with everything in it that a paper can show: all four stages, work, contact, timer, meter, mechanics. */

import type { CertificateInput, CertifiedFiring } from '../../app/certificate/certificate.ts';
import type { SelfTimerRun } from '../../app/judge/camera-checks.ts';
import type { MeterTest } from '../../app/judge/meter-test.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import type { WorkStep } from '../../app/judge/work-step.ts';
import type { ContactFigures } from '../../app/measure/figures.ts';
import type { Job } from '../../app/record/job.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import {
  inventedFigures,
  inventedFiring,
  inventedFirings,
  inventedInput,
  inventedJob,
} from './invented-job.ts';

/** Closed at 92 % open, a quarter of the opening before the blades stand still; `time` is the effective time. */
function contactFor(time: number): ContactFigures {
  return {
    closed: seconds(0.0021),
    closedBefore: false,
    bounces: 1,
    bounceTime: seconds(0.0003),
    parted: seconds(time + 0.001),
    closedTime: seconds(time - 0.001),
    lost: 0,
    openAtClosure: 0.92,
    open80: seconds(0.0018),
    open90: seconds(0.002),
    closing90: seconds(time + 0.0005),
  };
}

const step = (id: string, afterFiring: number, changes: Partial<WorkStep>): WorkStep => ({
  id,
  at: '2031-03-04T11:00:00+01:00',
  afterFiring,
  kind: 'other',
  direction: null,
  amount: null,
  note: '',
  ...changes,
});

const run = (id: string, time: number, changes: Partial<SelfTimerRun> = {}): SelfTimerRun => ({
  id,
  at: '2031-03-05T17:00:00+01:00',
  seconds: time,
  startedBy: 'release switch',
  setAside: null,
  ...changes,
});

const METER: MeterTest = {
  notation: 'f-number and time',
  iso: 100,
  constant: { kind: 'K', value: 12.5 },
  cell: 'selenium',
  battery: null,
  source: { words: 'opal lamp panel beside a meter of the workshop (invented)', uncertainty: stops(0.2) },
  points: [
    { id: 'p1', light: 8, reading: { fNumber: 5.6, seconds: 1 / 4 }, note: '' },
    { id: 'p2', light: 128, reading: { fNumber: 8, seconds: 1 / 30 }, note: '' },
    { id: 'p3', light: 2048, reading: { fNumber: 11, seconds: 1 / 250 }, note: 'needle sticks at first' },
  ],
};

export function wholeJob(changes: Partial<Job> = {}): Job {
  const job = inventedJob();
  const trial = { ...job.stages['as found'], outcomes: {} };
  return {
    ...job,
    stages: {
      ...job.stages,
      trials: trial,
      'after rest': {
        ...trial,
        assembly: { ...trial.assembly, mounting: 'in the body', temperature: 19.5 },
      },
    },
    steps: [
      step('s1', 27, { kind: 'cleaned', note: 'blades and governor (invented)' }),
      step('s2', 36, { kind: 'governor', direction: 'out', amount: { value: 0.25, unit: 'turns' } }),
      step('s3', 36, { kind: 'lubricated', note: 'pivots of the governor (invented).' }),
    ],
    work: {
      done: 'Shutter opened, blades and governor cleaned, governor set.\nBack catch bent true.',
      parts: 'One light seal, foam 2 mm',
      lubricants: 'Watch oil on the pivots of the governor; blades dry',
      remarks: 'Let the self-timer be: its spring is tired.',
    },
    selfTimer: [
      run('r1', 9.81),
      run('r2', 9.92),
      run('r3', 11.62),
      run('r4', 3.2, { setAside: 'stopped by hand' }),
    ],
    meter: METER,
    mechanics: [
      { id: 'm1', name: 'Release blocked when not cocked', state: 'good', note: '' },
      { id: 'm2', name: 'Double-exposure prevention', state: 'good', note: '' },
      { id: 'm3', name: 'Focus', state: 'adjusted', note: 'infinity set on a collimator (invented)' },
      { id: 'm4', name: 'Light seals', state: 'fault', note: 'crumbling at the hinge' },
      { id: 'm5', name: 'Rangefinder and viewfinder', state: 'not fitted', note: '' },
      { id: 'm6', name: 'Aperture blades', state: 'not tested', note: '' },
      { id: 'm7', name: 'Self-timer', state: 'not tested', note: '' },
    ],
    checks: [
      ...job.checks,
      {
        kind: 'contact lead',
        at: '2031-03-05T16:00:00+01:00',
        stage: 'as left',
        result: { state: 'works', closures: 3, bounces: 1, seconds: 12 },
      },
    ],
    ...changes,
  };
}

/** Firings of the found and left stages, with trials and after-rest readings between them, and contact as left. */
export function wholeFirings(): readonly CertifiedFiring[] {
  const usual = inventedFirings(LEAF_SERIES);
  const found = usual.filter(({ stage }) => stage === 'as found');
  const left = usual.filter(({ stage }) => stage === 'as left');
  const { stages } = wholeJob();
  const trials = ['1/15', '1/60', '1/250'].flatMap((mark) =>
    [0.2, 0.22, 0.21].map((error) => ({ mark, error, stage: 'trials' as const })),
  );
  const rested = ['1/15', '1/60'].flatMap((mark) =>
    [0.35, 0.04, 0.05, 0.03].map((error, i) => ({
      mark,
      error,
      stage: 'after rest' as const,
      first: i === 0,
    })),
  );
  const between = [...trials, ...rested].map((one, index): CertifiedFiring => {
    const reference = LEAF_SERIES.speeds.find(({ label }) => label === one.mark)!.marked!;
    const first = 'first' in one && one.first;
    return inventedFiring(
      one.stage,
      one.mark,
      found.length + 1 + index,
      inventedFigures(reference * 2 ** one.error),
      { rest: first ? 50_000 : 6, assembly: stages[one.stage].assembly },
    );
  });
  const after = left.map((firing, index): CertifiedFiring => {
    const ordinal = found.length + between.length + 1 + index;
    const { effective } = firing.figures;
    const figures = { ...firing.figures, contact: contactFor(effective!) };
    return { ...firing, id: `firing-${ordinal}`, ordinal, sync: 'X', figures };
  });
  return [...found, ...between, ...after];
}

export const wholeInput = (changes: Partial<CertificateInput> = {}): CertificateInput =>
  inventedInput({ job: wholeJob(), firings: wholeFirings(), ...changes });

/** A camera that can't be fired at all, sent back as it came. */
export function deadArrival(changes: Partial<Job> = {}): CertificateInput {
  const job = inventedJob();
  const untouched = { ...job.stages['as left'], outcomes: {} };
  return inventedInput({
    firings: [],
    job: {
      ...job,
      checks: [],
      complaint: 'Does nothing at all',
      work: { done: '', parts: '', lubricants: '', remarks: 'Mainspring broken; no spare to be had.' },
      stages: { 'as found': untouched, trials: untouched, 'after rest': untouched, 'as left': untouched },
      ...changes,
    },
  });
}
