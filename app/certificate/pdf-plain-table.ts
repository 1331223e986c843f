/** A table of strings over the full width, as wide in each column as its cells ask, broken over pages by rows. */

import type { CertificateTable } from './certificate.ts';
import {
  BODY,
  HAIRLINE,
  INK,
  keptWith,
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
    const heights = rows.map((cells) => heightOfRow(sheet, laidOut, cells, CELL));
    rows.forEach((cells, index) => {
      const height = heights[index]!;
      const together = height + keptWith(heights, index);
      if (!sheet.fits(together)) sheet.rule(sheet.left, sheet.y, sheet.width, 0.8, INK);
      const broken = sheet.need(together);
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
 * Each column asks for its longest cell and for its head in one line, and takes no less than its longest word. What
 * is left over is shared out; where there is too little, the columns that ask for least get all of it and the others
 * break their lines. Room for less than the longest words shrinks the columns alike, and breaks words.
 */
function layOut(
  sheet: Sheet,
  columns: CertificateTable['columns'],
  rows: CertificateTable['rows'],
): readonly Column[] {
  const pad = 2 * PAD.x + 0.5;
  const measured = columns.map(({ head }, index) => {
    const style = index === 0 ? STRONG : CELL;
    const cells = rows.map((row) => row[index] ?? '');
    const longest = (texts: readonly string[], of: Style) =>
      Math.max(0, ...texts.map((text) => sheet.widthOf(text, of)));
    return {
      word:
        Math.max(
          longest(head.split(' '), HEAD),
          longest(
            cells.flatMap((cell) => cell.split(' ')),
            style,
          ),
        ) + pad,
      cell: Math.max(longest(head.split(' '), HEAD), longest(cells, style)) + pad,
      whole: Math.max(longest([head], HEAD), longest(cells, style)) + pad,
    };
  });
  const widths = shareOut(measured, sheet.width);
  let x = sheet.left;
  return columns.map(({ head, align }, index) => {
    const width = widths[index]!;
    const column = { head, align, x, width };
    x += width;
    return column;
  });
}

interface Wish {
  readonly word: number;
  readonly cell: number;
  readonly whole: number;
}

function shareOut(wishes: readonly Wish[], room: number): readonly number[] {
  const words = wishes.map(({ word }) => word);
  if (sum(words) >= room) return words.map((word) => (word * room) / sum(words));
  const cells = filled(
    words,
    wishes.map(({ cell }) => cell),
    room,
  );
  const heads = filled(
    cells,
    wishes.map(({ whole }) => whole),
    room,
  );
  const spare = (room - sum(heads)) / wishes.length;
  return heads.map((width) => width + spare);
}

/** From `least` towards `most`, as far as `room` goes: all grow alike until they have enough. */
function filled(least: readonly number[], most: readonly number[], room: number): readonly number[] {
  let widths = [...least];
  for (;;) {
    const wanting = widths.flatMap((width, index) => (most[index]! - width > 1e-6 ? [index] : []));
    const spare = room - sum(widths);
    if (wanting.length === 0 || spare < 1e-6) return widths;
    const each = Math.min(spare / wanting.length, ...wanting.map((index) => most[index]! - widths[index]!));
    widths = widths.map((width, index) => (wanting.includes(index) ? width + each : width));
  }
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
