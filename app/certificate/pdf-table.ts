/** A table of speeds, broken over pages by lines, with its head on each page. */

import type { CertificateRow } from './certificate.ts';
import { HAIRLINE, INK, keptWith, type Sheet, SMALL, type Structure, type Style } from './pdf-sheet.ts';
import type { Column, TableLayout } from './speed-table-layouts.ts';

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

function layOut(sheet: Sheet, { columns }: TableLayout): readonly Cell[] {
  const shares = columns.reduce((sum, column) => sum + column.share, 0);
  let x = sheet.left;
  return columns.map((column) => {
    const width = (column.share / shares) * sheet.width;
    const cell = { column, x, width };
    x += width;
    return cell;
  });
}

export function drawSpeedTable(sheet: Sheet, rows: readonly CertificateRow[], layout: TableLayout): void {
  const cells = layOut(sheet, layout);
  const table = sheet.open(sheet.root, 'Table');
  sheet.need(headHeight(sheet, cells) + 2 * rowHeight(sheet, cells, rows[0]));
  drawHead(sheet, layout, cells, table);
  const heights = rows.map((row) => rowHeight(sheet, cells, row));
  rows.forEach((row, index) => {
    const height = heights[index]!;
    const together = height + keptWith(heights, index);
    if (!sheet.fits(together)) closeTable(sheet);
    const broken = sheet.need(together);
    if (broken) drawHead(sheet, layout, cells, null);
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
function drawHead(sheet: Sheet, layout: TableLayout, cells: readonly Cell[], table: Structure | null): void {
  const upper = groupHeight(sheet);
  const lower = columnHeadHeight(sheet, cells);
  const y = sheet.y;
  tint(sheet, cells, y, upper + lower);
  sheet.rule(sheet.left, y, sheet.width, 0.8, INK);

  const groups = layout.groups.map((group, index) => {
    const first = layout.groups.slice(0, index).reduce((sum, { span }) => sum + span, 0);
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
