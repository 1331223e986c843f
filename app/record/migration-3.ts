import type { Migration } from './migration.ts';

/** What this step reads of version 2; everything else is carried over as it is. */
interface JobOfVersion2 {
  readonly received: string;
  readonly checks: readonly { readonly at: string }[];
  readonly leastFirings: Readonly<Record<'as found' | 'as left', number>>;
  readonly stages: Readonly<Record<'as found' | 'as left', object>>;
}

interface FiringOfVersion2 {
  readonly figures: object;
}

const untried = () => ({
  assembly: {
    mounting: 'not stated',
    cells: 'not stated',
    iris: '',
    release: 'not stated',
    cocking: 'not stated',
    attitude: '',
    temperature: null,
  },
  setUp: { light: 'not stated', sensor: 'not stated', seenShare: null, linearity: null, note: '' },
  outcomes: {},
});

const withoutFlash = (stage: object) => ({ ...stage, sync: 'not stated', skipped: [] });

/** A check of the instrument says when the job was first on the bench; nothing says more. */
function statesOf({ received, checks }: JobOfVersion2) {
  const first = checks[0];
  const states = [{ state: 'received', at: received }];
  return first === undefined ? states : [...states, { state: 'on the bench', at: first.at }];
}

function jobToVersion3(data: unknown): unknown {
  const job = data as JobOfVersion2;
  return {
    ...job,
    states: statesOf(job),
    removed: null,
    leastFirings: { ...job.leastFirings, trials: 3, 'after rest': 3 },
    stages: {
      ...job.stages,
      'as found': withoutFlash(job.stages['as found']),
      trials: withoutFlash(untried()),
      'after rest': withoutFlash(untried()),
      'as left': withoutFlash(job.stages['as left']),
    },
    steps: [],
    work: { done: '', parts: '', lubricants: '', remarks: '' },
    programme: null,
    flashDuration: 0.001,
    selfTimer: [],
    meter: null,
    mechanics: [],
    notes: [],
    issued: [],
  };
}

function firingToVersion3(data: unknown): unknown {
  const row = data as FiringOfVersion2;
  return { ...row, figures: { ...row.figures, contact: null }, sync: 'not stated' };
}

const workshopToVersion3 = (data: unknown) => ({ ...(data as object), logo: null });

export const TO_VERSION_3: Migration = {
  to: 3,
  what:
    'Jobs: states, taking off the list, stages trials and after rest, steps of work, words on the work, programme, ' +
    'flash, self-timer, meter, mechanical checks, notes, papers handed out. Firings: flash contact and where ' +
    'its lever stood. Workshop: logo. New: preferences, pictures, known boards.',
  steps: { job: jobToVersion3, firing: firingToVersion3, workshop: workshopToVersion3 },
};
