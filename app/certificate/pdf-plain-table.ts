/** A table of strings over the full width, as wide in each column as its cells ask, broken over pages by rows. */

import type { CertificateTable } from './certificate.ts';
import {
  BODY,
  HAIRLINE,
  INK,
  type Sheet,
  SMALL,
  SMALL_FAINT,
  type Structure,
  type Style,
} from './pdf-sheet.ts';

const HEADING: Style = { ...BODY, face: 'bold' };
const HEAD: Style = { face: 'bold', size: 7, colour: INK };
const CELL: Style = SMALL;
const STRONG: Style = { ...SMALL, face: 'bold' };
const PAD = { x: 3, y: 1.8 };

interface Column {
  readonly head: string;
  readonly align: 'left' | 'right';
  readonly x: number;
  readonly width: number;
}

export function drawPlainTable(sheet: Sheet, { heading, columns, rows, notes }: CertificateTable): void {
  const laidOut = layOut(sheet, columns, rows);
  const headHeight = heightOfRow(
    sheet,
    laidOut,
    columns.map(({ head }) => head),
    HEAD,
  );
  const first = rows[0] === undefined ? 0 : 2 * heightOfRow(sheet, laidOut, rows[0], CELL);
  sheet.need(sheet.heightOf(heading, HEADING, sheet.width) + 2 + headHeight + first);
  sheet.paragraph(sheet.root, 'H2', heading, HEADING, sheet.left, sheet.width);
  sheet.y += 2;
  if (rows.length > 0) {
    const table = sheet.open(sheet.root, 'Table');
    drawHead(sheet, laidOut, headHeight, table);
    rows.forEach((cells, index) => {
      const height = heightOfRow(sheet, laidOut, cells, CELL);
      if (!sheet.fits(height)) sheet.rule(sheet.left, sheet.y, sheet.width, 0.8, INK);
      const broken = sheet.need(height);
      if (broken) drawHead(sheet, laidOut, headHeight, null);
      if (broken || index === 0) sheet.rule(sheet.left, sheet.y, sheet.width, 0.8, INK);
      else sheet.rule(sheet.left, sheet.y, sheet.width, 0.4, HAIRLINE);
      drawRow(sheet, laidOut, cells, height, table);
    });
    table.end();
    sheet.rule(sheet.left, sheet.y, sheet.width, 0.8, INK);
    sheet.y += 3;
  }
  for (const note of notes) {
    sheet.paragraph(sheet.root, 'P', note, SMALL_FAINT, sheet.left, sheet.width);
    sheet.y += 1;
  }
  sheet.y += 10;
}

/**
 * Each column is at least as wide as its longest cell and the longest word of its head. Of the room that is left,
 * heads that had to be broken get theirs first, and the rest is shared out. Too little room shrinks the columns
 * alike, and breaks words where it must.
 */
function layOut(
  sheet: Sheet,
  columns: CertificateTable['columns'],
  rows: CertificateTable['rows'],
): readonly Column[] {
  const pad = 2 * PAD.x + 0.5;
  const least = columns.map(({ head }, index) => {
    const style = index === 0 ? STRONG : CELL;
    const cells = rows.map((row) => sheet.widthOf(row[index] ?? '', style));
    return Math.max(...head.split(' ').map((word) => sheet.widthOf(word, HEAD)), ...cells) + pad;
  });
  const wishes = columns.map(({ head }, index) =>
    Math.max(0, sheet.widthOf(head, HEAD) + pad - least[index]!),
  );
  const spare = sheet.width - sum(least);
  const granted = spare <= 0 ? 0 : Math.min(1, spare / Math.max(sum(wishes), 1));
  const shared = (spare - granted * sum(wishes)) / columns.length;
  let x = sheet.left;
  return columns.map(({ head, align }, index) => {
    const width =
      spare <= 0
        ? (least[index]! * sheet.width) / sum(least)
        : least[index]! + granted * wishes[index]! + shared;
    const column = { head, align, x, width };
    x += width;
    return column;
  });
}

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);

const heightOfRow = (sheet: Sheet, columns: readonly Column[], cells: readonly string[], style: Style) =>
  Math.max(
    ...columns.map(({ width }, index) => sheet.heightOf(cells[index] ?? '', style, width - 2 * PAD.x)),
  ) +
  2 * PAD.y;

/** Tagged under `table`; a repeated head (null) is for the eye only. */
function drawHead(sheet: Sheet, columns: readonly Column[], height: number, table: Structure | null): void {
  const y = sheet.y;
  sheet.rule(sheet.left, y, sheet.width, 0.8, INK);
  const write = ({ head, align, x, width }: Column) =>
    sheet.write(head, { ...HEAD, align }, x + PAD.x, y + PAD.y, width - 2 * PAD.x);
  if (table === null) {
    sheet.artifact(() => columns.forEach(write), 'Pagination');
  } else {
    const row = sheet.open(table, 'TR');
    for (const column of columns) sheet.tagged(row, 'TH', () => write(column), { scope: 'Column' });
    row.end();
  }
  sheet.y = y + height;
}

function drawRow(
  sheet: Sheet,
  columns: readonly Column[],
  cells: readonly string[],
  height: number,
  table: Structure,
): void {
  const y = sheet.y;
  const row = sheet.open(table, 'TR');
  columns.forEach(({ align, x, width }, index) => {
    const style = index === 0 ? STRONG : CELL;
    const write = () =>
      sheet.write(cells[index] ?? '', { ...style, align }, x + PAD.x, y + PAD.y, width - 2 * PAD.x);
    if (index === 0) sheet.tagged(row, 'TH', write, { scope: 'Row' });
    else sheet.tagged(row, 'TD', write);
  });
  row.end();
  sheet.y = y + height;
}
