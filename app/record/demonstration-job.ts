import type { MechanicalCheck } from '../judge/camera-checks.ts';
import type { SetUp } from '../judge/set-up.ts';
import type { Assembly, Job } from './job.ts';
import { MECHANICAL_LISTS, mechanicalChecks } from './mechanical-lists.ts';
import { NOT_STATED, newJob } from './new-job.ts';

/** A job to try the page with. Camera, owner, numbers and work are our own invention, and the job says so. */
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
    work: {
      done: 'Shutter opened, blades and governor cleaned, governor’s engagement set (invented).',
      parts: 'None (invented).',
      lubricants: 'A trace of watch oil on the pivots of the governor; blades and pallet dry (invented).',
      remarks: 'Work as a workshop might write it; none of it was done (invented).',
    },
    mechanics: mechanicalChecks(MECHANICAL_LISTS[0]!).map(inventedFinding),
    notes: [
      {
        id: 'note 1',
        at: start.received,
        text: 'Front ring: three screws, the short one sits at the release (invented).',
        picture: null,
        onJobSheet: true,
      },
    ],
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
    bandwidthHz: 48_400,
    note: 'opal lamp panel right before the lens (invented)',
  };
  const stand = (assembly: Assembly) => ({ ...job.stages['as found'], assembly, setUp });
  const stages = {
    'as found': stand(bare),
    trials: stand(bare),
    'after rest': stand(used),
    'as left': stand(used),
  };
  return { ...job, stages, invented: true };
}

/** What the practice bench can show is left to be tested there. */
const LEFT_OPEN = ['Self-timer', 'Flash contact', 'B and T'];
const INVENTED: Readonly<Record<string, Pick<MechanicalCheck, 'state' | 'note'>>> = {
  'Light seals': { state: 'fault', note: 'Crumbling at the hinge; customer asked (invented).' },
  Focus: { state: 'adjusted', note: 'Infinity set (invented).' },
};

function inventedFinding(check: MechanicalCheck): MechanicalCheck {
  if (LEFT_OPEN.includes(check.name)) return check;
  return { ...check, state: 'good', note: '(invented)', ...INVENTED[check.name] };
}
