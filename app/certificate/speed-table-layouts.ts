/** Which figures of the table of speeds stand in which columns: all of them, or those that a customer asks for. */

import type { PaperStage } from '../record/job.ts';
import type { CertificateRow, StageFigures } from './certificate.ts';
import { DASH } from './stops-text.ts';

export interface Column {
  readonly head: string;
  /** Share of the width. */
  readonly share: number;
  readonly align: 'left' | 'right';
  /** Stage whose figures stand here, or null for the mark's own columns. */
  readonly stage: PaperStage | null;
  readonly text: (row: CertificateRow) => string;
  readonly strong?: (row: CertificateRow) => boolean;
}

/** The same text twice, a dash, is written once. */
const twoLines = (upper: string, lower: string) => (upper === lower ? upper : `${upper}\n${lower}`);

const detailedStage = (stage: PaperStage): readonly Column[] => {
  const of = (pick: (figures: StageFigures) => string) => (row: CertificateRow) => pick(row.stages[stage]);
  const common = { stage, align: 'right' } as const;
  return [
    { ...common, head: 'n', share: 15, text: of((f) => f.n) },
    {
      ...common,
      head: 'Mean',
      share: 40,
      text: of(({ mean, fraction }) => twoLines(mean, fraction)),
    },
    {
      ...common,
      head: 'Error ± U, EV',
      share: 38,
      text: of(({ error, uncertainty }) => twoLines(error, uncertainty)),
    },
    {
      ...common,
      head: 'SD, EV',
      share: 33,
      text: of(({ spread, repeats }) => (repeats === '' ? spread : twoLines(spread, repeats))),
    },
    {
      ...common,
      head: 'Verdict',
      share: 68,
      align: 'left',
      text: of(({ verdict, conformity }) => (conformity === DASH ? verdict : `${verdict}\nP ${conformity}`)),
      strong: (row) => row.stages[stage].beyond,
    },
  ];
};

const DETAILED_COLUMNS: readonly Column[] = [
  {
    head: 'Marked',
    share: 34,
    align: 'left',
    stage: null,
    text: (row) => row.mark,
    strong: () => true,
  },
  {
    head: 'Reference',
    share: 42,
    align: 'right',
    stage: null,
    text: (row) => twoLines(row.reference, row.referenceFraction),
  },
  ...detailedStage('as found'),
  ...detailedStage('as left'),
  { head: 'Band', share: 44, align: 'left', stage: null, text: (row) => row.band },
];

/** '1/118 s, 8.47 ms'; whole and longer seconds say the same twice. */
const realSpeed = ({ mean, fraction }: StageFigures) =>
  fraction.startsWith('1/') ? `${fraction}, ${mean}` : fraction;

const plainStage = (stage: PaperStage): readonly Column[] => {
  const of = (pick: (figures: StageFigures) => string) => (row: CertificateRow) => pick(row.stages[stage]);
  const common = { stage, align: 'left' } as const;
  return [
    { ...common, head: 'Real speed', share: 82, text: of(realSpeed) },
    { ...common, align: 'right', head: 'Error, stops', share: 36, text: of(({ error }) => error) },
    {
      ...common,
      head: 'Verdict',
      share: 88,
      text: of(({ verdict, repeats }) => (repeats === 'erratic' ? `${verdict}, erratic` : verdict)),
      strong: (row) => row.stages[stage].beyond || row.stages[stage].repeats === 'erratic',
    },
  ];
};

const PLAIN_COLUMNS: readonly Column[] = [
  {
    head: 'Marked',
    share: 36,
    align: 'left',
    stage: null,
    text: (row) => row.mark,
    strong: () => true,
  },
  ...plainStage('as found'),
  ...plainStage('as left'),
  { head: 'Band', share: 66, align: 'left', stage: null, text: (row) => row.band },
];

interface Group {
  readonly head: string;
  /** Columns it stands over. */
  readonly span: number;
  readonly stage: PaperStage | null;
}

export interface TableLayout {
  readonly columns: readonly Column[];
  readonly groups: readonly Group[];
}

const groups = (before: number, each: number): readonly Group[] => [
  { head: '', span: before, stage: null },
  { head: 'As found', span: each, stage: 'as found' },
  { head: 'As left', span: each, stage: 'as left' },
  { head: '', span: 1, stage: null },
];

/** For page 1. */
export const PLAIN_LAYOUT: TableLayout = { columns: PLAIN_COLUMNS, groups: groups(1, 3) };
/** For the pages behind it. */
export const DETAILED_LAYOUT: TableLayout = { columns: DETAILED_COLUMNS, groups: groups(2, 5) };
