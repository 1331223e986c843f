/** The steps of work, and what each did to each mark. */

import { signedStops } from '../judge/verdict-words.ts';
import { EFFECT_KEY, workEffectSentences } from '../judge/work-effect-sentences.ts';
import { type MarkEffect, type WorkEffect, workEffects } from '../judge/work-effects.ts';
import { workStepWords } from '../judge/work-step-words.ts';
import type { Job } from '../record/job.ts';
import type { CertificateTable } from './certificate.ts';
import { type Calendar, datesOf } from './dates.ts';
import type { StageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';

/** More columns of figures than this don't fit beside each other. */
const GROUPS_TO_A_TABLE = 6;

/** Steps with no firing between them share a column. None without a step. */
export function workStepTables(
  job: Job,
  results: readonly StageResult[],
  calendar: Calendar,
): readonly CertificateTable[] {
  if (job.steps.length === 0) return [];
  const { steps, series, referenceRule, profile } = job;
  const readings = results.flatMap(({ firings }) => firings);
  const effects = workEffects({ steps, readings, series, referenceRule, profile });
  const numbered = effects.map((effect, index) => ({ effect, name: `Work ${index + 1}` }));
  const chunks = Array.from({ length: Math.ceil(numbered.length / GROUPS_TO_A_TABLE) }, (_, index) =>
    numbered.slice(index * GROUPS_TO_A_TABLE, (index + 1) * GROUPS_TO_A_TABLE),
  );
  return chunks.map((chunk) => workTable(job, chunk, calendar));
}

interface Numbered {
  readonly effect: WorkEffect;
  readonly name: string;
}

function workTable(job: Job, groups: readonly Numbered[], calendar: Calendar): CertificateTable {
  const labels = job.series.speeds
    .map(({ label }) => label)
    .filter((label) => groups.some(({ effect }) => effect.marks.some((mark) => mark.label === label)));
  const rows = labels.map((label) => [
    label,
    ...groups.map(({ effect }) => changeText(effect.marks.find((mark) => mark.label === label))),
  ]);
  const described = groups.map(({ effect, name }) => {
    const when = datesOf(
      effect.steps.map(({ at }) => at),
      calendar,
    );
    // What more to turn is the workshop's business, not the customer's.
    const sentences = workEffectSentences({ ...effect, governor: null });
    return [`${name}, ${when}: ${effect.steps.map(workStepWords).join('; ')}.`, ...sentences].join(' ');
  });
  return {
    heading: 'Work between the readings, and what it did',
    columns: [
      { head: 'Marked', align: 'left' },
      ...groups.map(({ name }) => ({ head: `${name}, EV`, align: 'right' }) as const),
    ],
    rows,
    notes: [
      ...described,
      ...(rows.length === 0
        ? []
        : [`${EFFECT_KEY} In brackets: no change is shown. In square brackets: too few firings to tell.`]),
    ],
  };
}

/** '+0.31 ± 0.11', in brackets where it may be nothing. */
function changeText(mark: MarkEffect | undefined): string {
  if (mark === undefined) return DASH;
  const { change, interval, significant } = mark;
  if (interval === null) return `[${signedStops(change)}]`;
  const figures = `${signedStops(change)} ± ${((interval.upper - interval.lower) / 2).toFixed(2)}`;
  return significant ? figures : `(${figures})`;
}
