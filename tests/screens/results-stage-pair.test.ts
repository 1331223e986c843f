import { describe, expect, it } from 'vitest';
import { stageResult } from '../../app/certificate/stage-results.ts';
import { STAGES, type StageId } from '../../app/record/job.ts';
import { markFigures } from '../../app/screens/results-figures.ts';
import { usualPair } from '../../app/screens/results-stage-pair.tsx';
import { unlikeStates } from '../../app/screens/results-unlike-states.ts';
import { inventedFigures, inventedFiring, inventedJob } from '../certificate/invented-job.ts';

const job = inventedJob();
const firing = (stage: StageId, ordinal: number, changes = {}) => {
  const { assembly, setUp } = job.stages['as found'];
  return inventedFiring(stage, '1/60', ordinal, inventedFigures(0.017), { assembly, setUp, ...changes });
};

describe('which stages stand beside each other', () => {
  it('is as found beside as left, where both were read', () => {
    expect(usualPair([...STAGES])).toEqual(['as found', 'as left']);
    expect(usualPair(['as found', 'after rest', 'as left'])).toEqual(['as found', 'as left']);
  });

  it('else what there is, in the order of the work', () => {
    expect(usualPair(['trials', 'as left'])).toEqual(['trials', 'as left']);
    expect(usualPair(['as found', 'trials', 'after rest'])).toEqual(['as found', 'trials']);
    expect(usualPair(['trials'])).toEqual(['trials']);
  });
});

describe('figures of stages', () => {
  it('are given for the stages asked for, and for no other', () => {
    const firings = STAGES.map((stage, index) => firing(stage, index + 1));
    const of = (...stages: StageId[]) =>
      markFigures(
        job,
        stages.map((stage) => stageResult(job, firings, stage)),
      ).find(({ mark }) => mark === '1/60')!.figures;
    expect(of('trials', 'after rest')).toMatchObject({
      'as found': null,
      trials: { n: '1' },
      'after rest': { n: '1' },
      'as left': null,
    });
  });
});

describe('unlike states', () => {
  const results = (firings: ReturnType<typeof firing>[]) =>
    (['as found', 'trials'] as const).map((stage) => stageResult(job, firings, stage));
  const { assembly, setUp } = job.stages['as found'];

  it('are none where everything stood alike, whatever the temperature', () => {
    const warmer = { ...assembly, temperature: 31 };
    expect(
      unlikeStates(job, results([firing('as found', 1), firing('trials', 2, { assembly: warmer })])),
    ).toEqual([]);
  });

  it('are named with what was so in each', () => {
    const other = firing('trials', 2, {
      assembly: { ...assembly, mounting: 'front plate fastened', iris: 'f/8' },
      setUp: { ...setUp, seenShare: 0.8 },
    });
    const unlike = unlikeStates(job, results([firing('as found', 1), other]));
    expect(unlike.map((words) => words.split(':')[0])).toEqual([
      'shutter',
      'iris',
      'share of the opening seen',
    ]);
    expect(unlike[0]).toMatch(/, then front plate fastened$/);
    expect(unlike[2]).toMatch(/80 %$/);
  });
});
