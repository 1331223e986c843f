/** A job and its firings for the tests of this folder. All of it is invented. */

import type { CertificateInput, CertifiedFiring } from '../../app/certificate/certificate.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import type { Series } from '../../app/judge/verdict.ts';
import { type Figures, NO_FIGURES } from '../../app/measure/figures.ts';
import type { Assembly, Job, StageId } from '../../app/record/job.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
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
    leastFirings: { 'as found': 3, 'as left': 5 },
    stages: {
      'as found': { assembly: bench, outcomes: { '1': 'did not fire' } },
      'as left': {
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
    firing: { spoilt: null },
    figures,
    assembly: inventedJob().stages[stage].assembly,
    reference: null,
    clockCorrection: null,
    measuringVersion: 1,
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
    },
    job,
    firings: inventedFirings(job.series),
    issued: '2031-03-06T12:00:00+01:00',
    certificateNumber: 'LC-2031-0007',
    paper: 'A4',
    ...changes,
  };
}
