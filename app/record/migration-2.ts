import type { Migration } from './migration.ts';

/** What this step reads of version 1; everything else is carried over as it is. */
interface JobOfVersion1 {
  readonly series: { readonly speeds: readonly { readonly label: string; readonly marked: number | null }[] };
  readonly stages: Readonly<Record<'as found' | 'as left', object>>;
}

interface FiringOfVersion1 {
  readonly figures: object;
  readonly reference: object | null;
}

const setUpNotStated = () => ({
  light: 'not stated',
  sensor: 'not stated',
  seenShare: null,
  linearity: null,
  note: '',
});

/** Seconds; the marks that a leaf shutter's governor and its pallet commonly serve. */
const GOVERNED_FROM = 1 / 150;
const PALLET_FROM = 1 / 10;

function jobToVersion2(data: unknown): unknown {
  const job = data as JobOfVersion1;
  const from = (shortest: number) =>
    job.series.speeds.filter(({ marked }) => marked !== null && marked >= shortest).map(({ label }) => label);
  return {
    ...job,
    bandUnit: 'EV',
    decisionRule: 'simple',
    spreadLimit: null,
    profile: { governed: from(GOVERNED_FROM), pallet: from(PALLET_FROM), booster: [], fromCentre: true },
    checks: [],
    stages: {
      ...job.stages,
      'as found': { ...job.stages['as found'], setUp: setUpNotStated() },
      'as left': { ...job.stages['as left'], setUp: setUpNotStated() },
    },
  };
}

/** Version 1 allowed a number for the clock, but nothing ever wrote one: another value is left, and refused. */
function firingToVersion2(data: unknown): unknown {
  const row = data as FiringOfVersion1;
  return {
    ...row,
    figures: { ...row.figures, stoppedDown: null },
    reference: row.reference === null ? null : { ...row.reference, origin: 'slow firing' },
    setUp: setUpNotStated(),
    exercised: false,
  };
}

export const TO_VERSION_2: Migration = {
  to: 2,
  what:
    'Jobs: decision rule, limit of the spread, unit of the bands, profile of the shutter, checks, set-up. ' +
    'Firings: set-up, exercised, correction of the clock with its uncertainty, origin of the reference level, ' +
    'times when stopped down.',
  steps: { job: jobToVersion2, firing: firingToVersion2 },
};
