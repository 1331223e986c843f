/** For each finding, a fault of any size to put on a simulated job of an otherwise ordinary shutter. */
import type { FindingCode } from '../../../app/judge/finding.ts';
import { PRACTICE_MARKS } from '../../../app/practice/marks.ts';
import { Random } from '../../../app/practice/random.ts';
import { type JobOptions, type Situation, simulatedJob } from './simulated-job.ts';

const TIMED = PRACTICE_MARKS.filter((mark) => mark.marked !== null);
const ALL_LABELS = PRACTICE_MARKS.map(({ label }) => label);
const isGoverned = ({ mark }: Situation) => mark.governor !== 'none';
const usesPallet = ({ mark }: Situation) => mark.governor === 'pallet';

/** What becomes of a job with this seed; either way (slow or fast, earlier or later) where both are possible. */
type Fault = (size: number, seed: number) => Omit<JobOptions, 'seed'>;

/** Sizes in the unit of the finding's threshold. */
export const FAULTS: { readonly [code in FindingCode]: Fault } = {
  'governor engagement': (size, seed) => ({
    change: (at) => (isGoverned(at) ? { milliseconds: size * eitherWay(seed) } : {}),
  }),
  escapement: (size, seed) => ({
    change: (at) => (isGoverned(at) ? { stops: size * eitherWay(seed) } : {}),
  }),
  pallet: (size, seed) => ({
    change: (at) => (usesPallet(at) ? { stops: size * eitherWay(seed) } : {}),
  }),
  'governor bypassed': (size) => ({ change: (at) => (isGoverned(at) ? { stops: -size } : {}) }),
  'slow marks erratic': (size) => ({
    change: ({ mark }) => (mark.marked! >= 1 / 15 ? { spread: size } : {}),
  }),
  'gummed lubricant': (size) => ({
    rests: ['1', '1/15', '1/125'],
    change: ({ rested }) => (rested ? { stops: size } : {}),
  }),
  'blade drag': (size) => {
    // In milliseconds, as drag does it: the same at every mark, so many stops at the fastest.
    const milliseconds = 2 * (2 ** size - 1);
    return { change: () => ({ milliseconds }) };
  },
  'one mark off': (size, seed) => {
    const { label } = anyOf(TIMED, seed);
    return { change: ({ mark }) => (mark.label === label ? { stops: size * eitherWay(seed) } : {}) };
  },
  // The size is how far from equal the pair is; the faster one of the two is lengthened.
  'neighbours equal': (size, seed) => pairApart(size * eitherWay(seed), seed),
  'order inverted': (size, seed) => pairApart(-size, seed),
  'blade rebound': (size, seed) => ({
    change: ({ ordinal }) => ({ reboundPeak: (size / 100) * (1 + 0.2 * normal(seed, ordinal)) }),
  }),
  'steady glow': (size, seed) => ({
    change: ({ ordinal }) => ({
      remarks: [{ code: 'glow after closing', value: (size / 100) * (1 + 0.2 * normal(seed, ordinal)) }],
    }),
  }),
  'all marks off': (size, seed) => ({ change: () => ({ stops: size * eitherWay(seed) }) }),
  'drift over the series': (size, seed) => ({
    change: ({ ordinal }) => ({ stops: (size * eitherWay(seed) * (ordinal - 1)) / 49 }),
  }),
  'bench and body differ': (size, seed) => ({
    mountings: ['bare', 'in the body'],
    change: ({ mark, mounting }) =>
      mounting === 'in the body' && mark.marked! < 1 / 200 ? { stops: size * eitherWay(seed) } : {},
  }),
  'B or T hangs': (size) => ({
    labels: ALL_LABELS,
    change: ({ mark, ordinal }) => (mark.marked === null && ordinal <= size ? { neverCloses: true } : {}),
  }),
};

export const faultyJob = (code: FindingCode, size: number, seed: number) =>
  simulatedJob({ seed, cams: 'ordinary', ...FAULTS[code](size, seed) });

const eitherWay = (seed: number) => (seed % 2 === 0 ? 1 : -1);
const anyOf = <T>(list: readonly T[], seed: number): T => list[seed % list.length]!;
const normal = (seed: number, ordinal: number) => new Random(1000 * seed + ordinal).normal();

/** A neighbouring pair of this job, with its slower mark longer by so many stops, whatever their cams do. */
function pairApart(stops: number, seed: number): Omit<JobOptions, 'seed'> {
  const n = seed % (TIMED.length - 1);
  return {
    change: ({ mark }) =>
      mark.label === TIMED[n + 1]!.label ? { asLongAs: { mark: TIMED[n]!.label, stops: -stops } } : {},
  };
}
