/** The table of speeds, broken over pages by lines, with its head on each page. */

import type { StageId } from '../record/job.ts';
import type { CertificateContent, CertificateRow, StageFigures } from './certificate.ts';
import { HAIRLINE, INK, type Sheet, SMALL, type Structure, type Style } from './pdf-sheet.ts';
import { DASH } from './stops-text.ts';

interface Column {
  readonly head: string;
  /** Share of the width. */
  readonly share: number;
  readonly align: 'left' | 'right';
  /** Stage whose figures stand here, or null for the mark's own columns. */
  readonly stage: StageId | null;
  readonly text: (row: CertificateRow) => string;
  readonly strong?: (row: CertificateRow) => boolean;
}

/** The same text twice, a dash, is written once. */
const twoLines = (upper: string, lower: string) => (upper === lower ? upper : `${upper}\n${lower}`);

const stageColumns = (stage: StageId): readonly Column[] => {
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

const COLUMNS: readonly Column[] = [
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
  ...stageColumns('as found'),
  ...stageColumns('as left'),
  { head: 'Band', share: 44, align: 'left', stage: null, text: (row) => row.band },
];

const GROUPS: readonly { readonly head: string; readonly span: number; readonly stage: StageId | null }[] = [
  { head: '', span: 2, stage: null },
  { head: 'As found', span: 5, stage: 'as found' },
  { head: 'As left', span: 5, stage: 'as left' },
  { head: '', span: 1, stage: null },
];

const HEAD: Style = { face: 'bold', size: 7, colour: INK };
const GROUP_HEAD: Style = { face: 'bold', size: 8, colour: INK };
const STRONG: Style = { ...SMALL, face: 'bold' };
/** Under the figures as left: the ones the customer goes home with. */
const TINT = '#f3f4f1';
const PAD = { x: 3, y: 2.5 };

interface Cell {
  readonly column: Column;
  readonly x: number;
  readonly width: number;
}

function layOut(sheet: Sheet): readonly Cell[] {
  const shares = COLUMNS.reduce((sum, column) => sum + column.share, 0);
  let x = sheet.left;
  return COLUMNS.map((column) => {
    const width = (column.share / shares) * sheet.width;
    const cell = { column, x, width };
    x += width;
    return cell;
  });
}

export function drawSpeedTable(sheet: Sheet, content: CertificateContent): void {
  const cells = layOut(sheet);
  const table = sheet.open(sheet.root, 'Table');
  sheet.need(headHeight(sheet, cells) + 2 * rowHeight(sheet, cells, content.rows[0]));
  drawHead(sheet, cells, table);
  content.rows.forEach((row, index) => {
    const height = rowHeight(sheet, cells, row);
    if (!sheet.fits(height)) closeTable(sheet);
    const broken = sheet.need(height);
    if (broken) drawHead(sheet, cells, null);
    drawRow(sheet, cells, table, row, height, broken || index === 0);
  });
  table.end();
  closeTable(sheet);
}

const closeTable = (sheet: Sheet) => sheet.rule(sheet.left, sheet.y, sheet.width, 0.8, INK);

const inner = (cell: Cell) => cell.width - 2 * PAD.x;

const styleOf = ({ column }: Cell, row: CertificateRow): Style => ({
  ...(column.strong?.(row) ? STRONG : SMALL),
  align: column.align,
});

function rowHeight(sheet: Sheet, cells: readonly Cell[], row: CertificateRow | undefined): number {
  if (row === undefined) return 0;
  const heights = cells.map((cell) => sheet.heightOf(cell.column.text(row), styleOf(cell, row), inner(cell)));
  return Math.max(...heights) + 2 * PAD.y;
}

function headHeight(sheet: Sheet, cells: readonly Cell[]): number {
  return groupHeight(sheet) + columnHeadHeight(sheet, cells);
}

const groupHeight = (sheet: Sheet) => sheet.heightOf('As found', GROUP_HEAD, 200) + 2 * PAD.y;
const columnHeadHeight = (sheet: Sheet, cells: readonly Cell[]) =>
  Math.max(...cells.map((cell) => sheet.heightOf(cell.column.head, HEAD, inner(cell)))) + 2 * PAD.y;

/** Tagged under `table`; a repeated head (null) is for the eye only. */
function drawHead(sheet: Sheet, cells: readonly Cell[], table: Structure | null): void {
  const upper = groupHeight(sheet);
  const lower = columnHeadHeight(sheet, cells);
  const y = sheet.y;
  tint(sheet, cells, y, upper + lower);
  sheet.rule(sheet.left, y, sheet.width, 0.8, INK);

  const groups = GROUPS.map((group, index) => {
    const first = GROUPS.slice(0, index).reduce((sum, { span }) => sum + span, 0);
    const from = cells[first]!;
    const to = cells[first + group.span - 1]!;
    return { ...group, x: from.x, width: to.x + to.width - from.x };
  });
  const writeGroup = (group: (typeof groups)[number]) =>
    sheet.write(
      group.head,
      { ...GROUP_HEAD, align: 'center' },
      group.x + PAD.x,
      y + PAD.y,
      group.width - 2 * PAD.x,
    );
  const writeColumn = (cell: Cell) =>
    sheet.write(
      cell.column.head,
      { ...HEAD, align: cell.column.align },
      cell.x + PAD.x,
      y + upper + PAD.y,
      inner(cell),
    );

  if (table === null) {
    sheet.artifact(() => {
      groups.filter((group) => group.head !== '').forEach(writeGroup);
      cells.forEach(writeColumn);
    }, 'Pagination');
  } else {
    const groupRow = sheet.open(table, 'TR');
    for (const group of groups) {
      const { head, span } = group;
      if (head === '') sheet.tagged(groupRow, 'TD', () => {}, { span });
      else sheet.tagged(groupRow, 'TH', () => writeGroup(group), { scope: 'Column', span });
    }
    groupRow.end();
    const headRow = sheet.open(table, 'TR');
    for (const cell of cells) sheet.tagged(headRow, 'TH', () => writeColumn(cell), { scope: 'Column' });
    headRow.end();
  }
  for (const { stage, x, width } of groups) {
    if (stage !== null) sheet.rule(x + PAD.x, y + upper, width - 2 * PAD.x);
  }
  sheet.y = y + upper + lower;
}

function drawRow(
  sheet: Sheet,
  cells: readonly Cell[],
  table: Structure,
  row: CertificateRow,
  height: number,
  underHead: boolean,
): void {
  const y = sheet.y;
  tint(sheet, cells, y, height);
  if (underHead) sheet.rule(sheet.left, y, sheet.width, 0.8, INK);
  else sheet.rule(sheet.left, y, sheet.width, 0.4, HAIRLINE);
  const line = sheet.open(table, 'TR');
  cells.forEach((cell, index) => {
    const write = () =>
      sheet.write(cell.column.text(row), styleOf(cell, row), cell.x + PAD.x, y + PAD.y, inner(cell));
    if (index === 0) sheet.tagged(line, 'TH', write, { scope: 'Row' });
    else sheet.tagged(line, 'TD', write);
  });
  line.end();
  sheet.y = y + height;
}

function tint(sheet: Sheet, cells: readonly Cell[], y: number, height: number): void {
  const own = cells.filter((cell) => cell.column.stage === 'as left');
  const first = own[0]!;
  const last = own.at(-1)!;
  sheet.artifact(() => sheet.doc.rect(first.x, y, last.x + last.width - first.x, height).fill(TINT));
}
