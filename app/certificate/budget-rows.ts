/** Uncertainty budgets in words and figures: of one mark line by line, and of a stage mark by mark. */

import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { stopsToPercent } from '../judge/bands.ts';
import { distributionWords, dofWords, notStatedWords, sourceWords } from '../judge/budget-words.ts';
import { markText } from '../judge/findings/wording.ts';
import type { Budget, BudgetLine } from '../judge/verdict.ts';
import type { StageResult } from './stage-results.ts';
import { DASH, expandedText } from './stops-text.ts';

type Source = BudgetLine['source'];

/** In the order in which origins are listed. */
const SOURCES: readonly Source[] = [
  'repeatability',
  'clock tolerance',
  'clock temperature',
  'clock ageing',
  'clock check',
  "computer's clock",
  'clock warm-up',
  'open level',
  'lamp drift',
  'truncation',
  'linearity',
  'geometry',
];

/** One line of one mark's budget, ready to show. */
export interface BudgetLineRow {
  readonly source: string;
  /** 'A' or 'B'. */
  readonly type: string;
  /** With its limits where it has some: '±0.0043 EV, rectangular'. */
  readonly distribution: string;
  /** Standard uncertainty of the mean error in EV. */
  readonly u: string;
  readonly dof: string;
  readonly origin: string;
}

export const budgetLineRows = ({ lines }: Budget): readonly BudgetLineRow[] =>
  lines.map((line) => ({
    source: sourceWords(line.source),
    type: line.type,
    distribution: distributionWords(line),
    u: fine(line.u),
    dof: dofWords(line.dof),
    origin: line.origin,
  }));

/** What the lines of a budget come to, ready to show. */
export interface BudgetTotals {
  /** Combined standard uncertainty in EV. */
  readonly combined: string;
  readonly dof: string;
  readonly k: string;
  /** Expanded uncertainty in EV, and in percent of the time. */
  readonly expanded: string;
  readonly percent: string;
}

export function budgetTotals({ combined, dof, k, expanded }: Budget): BudgetTotals {
  return {
    combined: fine(combined),
    dof: dofWords(dof),
    k: k.toFixed(2),
    expanded: expandedText(expanded),
    percent: percentText(stopsToPercent(expanded)),
  };
}

/** Two digits; a time that may be more than doubled or halved is better said in EV. */
function percentText(percent: number): string {
  if (percent > 99.5) return '> 100';
  return percent.toFixed(percent < 0.995 ? 2 : percent < 9.95 ? 1 : 0);
}

/** Groups of sources that stand in one column of the table of a stage. */
const GROUPS = {
  repeatability: ['repeatability'],
  clock: [
    'clock tolerance',
    'clock temperature',
    'clock ageing',
    'clock check',
    'clock warm-up',
    "computer's clock",
  ],
  openLevel: ['open level', 'lamp drift'],
  truncation: ['truncation'],
  linearity: ['linearity'],
  geometry: ['geometry'],
} satisfies Readonly<Record<string, readonly Source[]>>;

/** One mark's budget summed up; each figure a standard uncertainty in EV, a dash where there is no line. */
export type BudgetRow = BudgetTotals & { readonly mark: string } & {
  readonly [group in keyof typeof GROUPS]: string;
};

/** A row for each mark that has a budget, in the order of the series. */
export const budgetRows = ({ marks }: StageResult): readonly BudgetRow[] =>
  marks.flatMap(({ speed, budget }) =>
    budget === null
      ? []
      : [
          {
            mark: speed.label,
            repeatability: groupText(budget, GROUPS.repeatability),
            clock: groupText(budget, GROUPS.clock),
            openLevel: groupText(budget, GROUPS.openLevel),
            truncation: groupText(budget, GROUPS.truncation),
            linearity: groupText(budget, GROUPS.linearity),
            geometry: groupText(budget, GROUPS.geometry),
            ...budgetTotals(budget),
          },
        ],
  );

function groupText({ lines }: Budget, group: readonly Source[]): string {
  const own = lines.filter(({ source }) => group.includes(source));
  return own.length === 0 ? DASH : fine(stops(Math.hypot(...own.map(({ u }) => u))));
}

/**
 * Where each line comes from, a sentence for each source that occurs. Where it differs from mark to mark, the
 * mark at which the line is largest stands for all.
 */
export function budgetOrigins({ marks }: StageResult): readonly string[] {
  const all = marks.flatMap(({ speed, budget }) =>
    (budget?.lines ?? []).map((line) => ({ ...line, label: speed.label })),
  );
  return SOURCES.flatMap((source) => {
    const own = all.filter((line) => line.source === source);
    const [first, ...others] = own;
    if (first === undefined) return [];
    const largest = others.reduce((most, line) => (line.u > most.u ? line : most), first);
    const where = own.some(({ origin }) => origin !== largest.origin)
      ? `; at ${markText(largest.label)}, where it is largest`
      : '';
    return [
      `${sourceWords(source)} (type ${largest.type}, ${largest.distribution}${where}): ${largest.origin}`,
    ];
  });
}

/** What U holds nothing for, since nobody stated it; empty when everything is stated for every mark. */
export function notStatedSentences({ marks }: StageResult): readonly string[] {
  const budgets = marks.flatMap(({ speed, budget }) => (budget === null ? [] : [{ speed, budget }]));
  const byWords = new Map<string, string[]>();
  for (const { speed, budget } of budgets) {
    const words = notStatedWords(budget.notStated);
    if (words !== null) byWords.set(words, [...(byWords.get(words) ?? []), markText(speed.label)]);
  }
  return [...byWords].map(([words, labels]) =>
    labels.length === budgets.length ? words : `${labels.join(', ')}: ${words}`,
  );
}

/** A line of a budget to a ten-thousandth of a stop, so that small lines can be told from none. */
function fine(size: Stops): string {
  if (size > 0 && size < 0.00005) return '<0.0001';
  return size.toFixed(4);
}
