/** Work noted in the midst of as found or as left: the papers say which readings are of another state. */
import { describe, expect, it } from 'vitest';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import type { WorkStep } from '../../app/judge/work-step.ts';
import type { StageId } from '../../app/record/job.ts';
import { section } from './content-parts.ts';
import { inventedFigures, inventedFiring, inventedInput, inventedJob } from './invented-job.ts';

const governor = (afterFiring: number): WorkStep => ({
  id: `step ${afterFiring}`,
  at: '2026-05-04T10:00:00+02:00',
  afterFiring,
  kind: 'governor',
  direction: 'out',
  amount: { value: 1, unit: 'turns' },
  note: '',
});

const fired = (stage: StageId, mark: string, time: number, ...ordinals: number[]): CertifiedFiring[] =>
  ordinals.map((ordinal) => inventedFiring(stage, mark, ordinal, inventedFigures(time)));

const paper = (steps: readonly WorkStep[], firings: readonly CertifiedFiring[]) =>
  certificateContent(inventedInput({ job: inventedJob({ steps }), firings }));

const remarks = (content: ReturnType<typeof paper>) => section(content, 'Remarks on the readings').items;

const found = fired('as found', '1/60', 1 / 50, 1, 2, 3);
const left = [...fired('as left', '1/60', 1 / 60, 4, 5, 6), ...fired('as left', '1/500', 1 / 480, 7, 8)];

describe('work noted in the midst of a stage', () => {
  it('is no matter between as found and as left', () => {
    const content = paper([governor(3)], [...found, ...left]);
    expect(remarks(content)).toEqual([]);
    expect(content.result.paragraphs.join(' ')).not.toContain('Work was noted');
  });

  it('makes as left what it may not be: said on the customer’s page and among the remarks', () => {
    const content = paper([governor(3), governor(5)], [...found, ...left]);
    expect(remarks(content)).toEqual([
      'As left: read before the last work noted (governor out by 1 turn): 1/60 (2 of 3): counted, but they may not show the shutter as it leaves.',
    ]);
    expect(content.result.paragraphs[0]).toMatch(
      / Work was noted after readings at 1\/60: see the remarks overleaf\.$/,
    );
    expect(content.result.paragraphs[1]).not.toContain('Work was noted');
  });

  it('after the last reading touches all marks', () => {
    const content = paper([governor(8)], [...found, ...left]);
    expect(remarks(content)[0]).toContain('1/60 (3 of 3), 1/500 (2 of 2)');
    expect(content.result.paragraphs[0]).toContain('Work was noted after readings at all marks');
  });

  it('before a reading as found is told too', () => {
    const content = paper([governor(2)], [...found, ...left]);
    expect(remarks(content)).toEqual([
      'As found: read after the first work noted (governor out by 1 turn): 1/60 (1 of 3): counted, but they may not show the shutter as it came.',
    ]);
    expect(content.result.paragraphs[1]).toContain('Work was noted before readings at 1/60');
  });

  it('between trials is said of the marks fired on both sides of it', () => {
    const trials = [...fired('trials', '1/60', 1 / 60, 4, 6), ...fired('trials', '1/500', 1 / 480, 5)];
    expect(remarks(paper([governor(3), governor(5)], [...found, ...trials]))).toEqual([
      'Trials: work was noted between the firings at 1/60: the mean holds readings from before and after it.',
    ]);
  });
});
