/** Trials and readings after a rest: the workshop's own, told in short overleaf. */

import { bandWords } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import type { CertificateTable } from './certificate.ts';
import { stateWords } from './comparisons.ts';
import { capitalised, notCountedSentences } from './firing-notes.ts';
import type { StageResult } from './stage-results.ts';
import { tableRows } from './table-rows.ts';

const left = (head: string) => ({ head, align: 'left' }) as const;
const right = (head: string) => ({ head, align: 'right' }) as const;

/** A table for each of these stages at which anything was recorded. */
export const otherStageTables = (job: Job, stages: readonly StageResult[]): readonly CertificateTable[] =>
  stages.filter(({ taken }) => taken).map((result) => stageTable(job, result));

function stageTable(job: Job, result: StageResult): CertificateTable {
  const { stage } = result;
  const state = stateWords(job, result);
  const firsts = stage === 'after rest' ? notCountedSentences(result, (why) => why === 'after rest') : [];
  return {
    heading: `${capitalised(stage)}, in short`,
    columns: [
      left('Marked'),
      right('n'),
      right('Mean'),
      right('Fraction'),
      right('Error, EV'),
      right('U, EV'),
      right('SD, EV'),
      left('Verdict'),
    ],
    rows: tableRows([result], job).map(({ mark, stages }) => {
      const { n, mean, fraction, error, uncertainty, spread, verdict } = stages[stage];
      return [mark, n, mean, fraction, error, uncertainty, spread, verdict];
    }),
    notes: [
      `${SAID[stage]} Held against the band of the job, ${bandWords(job.band, job.bandUnit)}${Object.keys(job.bands).length > 0 ? ' or the mark’s own' : ''}.`.trimStart(),
      ...firsts,
      ...(state === '' ? [] : [`${state}.`]),
    ],
  };
}

const SAID: Readonly<Record<StageResult['stage'], string>> = {
  'as found': '',
  trials: 'Readings between as found and as left, while the work went on.',
  'after rest':
    'Readings after the shutter had stood; the first after each rest is kept apart from the mean.',
  'as left': '',
};
