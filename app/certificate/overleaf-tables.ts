/** The tables behind the figures: how single firings spread, and what the uncertainty is made of. */

import type { Interval } from '../judge/verdict.ts';
import { conformityWords, limitInStops, signedStops } from '../judge/verdict-words.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import type { Job } from '../record/job.ts';
import { budgetOrigins, budgetRows, notStatedSentences } from './budget-rows.ts';
import type { CertificateTable } from './certificate.ts';
import type { MarkResult, StageResult } from './stage-results.ts';
import { DASH, sizeText } from './stops-text.ts';

const left = (head: string) => ({ head, align: 'left' }) as const;
const right = (head: string) => ({ head, align: 'right' }) as const;

/**
 * Spread of the stage as left, or as found if that is all there is. Each uncertainty on the certificate has its
 * coverage factor and its budget here, those as found too.
 */
export const overleafTables = (job: Job, found: StageResult, asLeft: StageResult) => {
  if (!asLeft.taken) return [spreadTable(job, found), budgetTable(found)];
  const budget = budgetTable(asLeft);
  const before = budgetTable(found);
  return [
    spreadTable(job, asLeft),
    budget,
    ...(before.rows.length === 0 ? [] : [withoutNotesOf(budget, before)]),
  ];
};

/** Sentences that stand under the other table already are not printed twice. */
const withoutNotesOf = (other: CertificateTable, table: CertificateTable): CertificateTable => ({
  ...table,
  notes: table.notes.filter((note) => !other.notes.includes(note)),
});

function spreadTable({ spreadLimit }: Job, { stage, marks }: StageResult): CertificateTable {
  const rows = marks.filter(({ statistics }) => statistics.n > 0).map(spreadRow);
  const limit =
    spreadLimit === null
      ? 'No limit was set for the spread.'
      : `Steady: SD not above the limit of ${limitInStops(spreadLimit)}; erratic: above it. This is stated beside the verdict on the mean, and not part of it.`;
  return {
    heading: `Spread of the firings ${stage}`,
    columns: [
      left('Marked'),
      right('n'),
      right('Fastest'),
      right('Slowest'),
      right('Range, EV'),
      right('SD, EV'),
      right('95 % interval of the SD, EV'),
      right('Next firing with 95 %, EV'),
      right('Next-shot odds'),
      left('Repeats'),
    ],
    rows,
    notes:
      rows.length === 0
        ? ['No firing was counted.']
        : [
            `Interval of the SD by the chi-square distribution, of the next firing by the predictive t distribution, both for errors that are normal in EV. Next-shot odds: probability that the next firing falls within the band of its mark, if it is like these. ${limit}`,
          ],
  };
}

function spreadRow({ speed, statistics, judgement }: MarkResult): readonly string[] {
  const { n, fastest, slowest, range, sd, sdInterval, nextInterval } = statistics;
  return [
    speed.label,
    String(n),
    fastest === null ? DASH : timeText(fastest),
    slowest === null ? DASH : timeText(slowest),
    range === null || n < 2 ? DASH : sizeText(range),
    sd === null ? DASH : sizeText(sd),
    sdInterval === null ? DASH : `${sizeText(sdInterval.lower)} to ${sizeText(sdInterval.upper)}`,
    nextInterval === null ? DASH : intervalText(nextInterval),
    judgement.nextShot === null ? DASH : conformityWords(judgement.nextShot),
    judgement.spread === 'no limit' ? DASH : judgement.spread,
  ];
}

const intervalText = ({ lower, upper }: Interval) => `${signedStops(lower)} to ${signedStops(upper)}`;

function budgetTable(result: StageResult): CertificateTable {
  const rows = budgetRows(result);
  return {
    heading: `Uncertainty budget of the mean errors ${result.stage}`,
    columns: [
      left('Marked'),
      right('Repeatability'),
      right('Clock'),
      right('Open level'),
      right('Truncation'),
      right('Linearity'),
      right('Geometry'),
      right('Combined u'),
      right('Degrees of freedom'),
      right('k'),
      right('U, EV'),
      right('U, % of time'),
    ],
    rows: rows.map((row) => [
      row.mark,
      row.repeatability,
      row.clock,
      row.openLevel,
      row.truncation,
      row.linearity,
      row.geometry,
      row.combined,
      row.dof,
      row.k,
      row.expanded,
      row.percent,
    ]),
    notes:
      rows.length === 0
        ? ['No mark has two counted firings, so that no uncertainty can be stated.']
        : [
            'After the GUM (JCGM 100:2008). Each column up to the combined one is a standard uncertainty of the mean error in EV, and the combined one their root sum of squares, with its effective degrees of freedom (Welch–Satterthwaite). k: coverage factor of Student’s t for about 95 %, at those degrees of freedom cut to a whole number. U: k times the combined uncertainty, and what it adds to the time in percent. Noise of the light is in the repeatability.',
            ...notStatedSentences(result),
            ...budgetOrigins(result),
          ],
  };
}
