/** The working speeds card on its page: front and back beside each other, to be cut out and folded. */
import type { CertificateTable } from './certificate.ts';
import { FAINT, HAIRLINE, INK, type Sheet, SMALL_FAINT, type Style } from './pdf-sheet.ts';
import { CARD, type WorkingSpeedsCardContent } from './working-speeds-card.ts';

/** Points to a millimetre. */
const MM = 72 / 25.4;
const WIDTH = CARD.width * MM;
const HEIGHT = CARD.height * MM;
const PAD = 7.5;
const INNER = WIDTH - 2 * PAD;
/** Between cards below each other, with room for their cutting marks. */
const GAP = 30;
const CUT = { length: 9, distance: 3 };

const TITLE: Style = { face: 'bold', size: 9, colour: INK };
const LINE: Style = { face: 'regular', size: 6.4, colour: INK };
const FIRM: Style = { ...LINE, face: 'bold' };
const HEAD: Style = { face: 'bold', size: 5.8, colour: FAINT };
const NOTE: Style = { face: 'regular', size: 5.6, colour: INK };
const SMALLEST = 3.5;
/** Kept free after a column of figures. */
const COLUMN_GAP = 9;
const NOTE_GAP = 1.5;
const LEAD = { title: 11.5, line: 7.8, head: 7.6 };
/** Rows stand as far apart as there is room for, within these; their letters go with it. */
const ROW = { least: 6.4, most: 7.9 };

/** Where a side stands on the page. */
interface Place {
  readonly x: number;
  readonly y: number;
}

interface Side {
  /** Lines at the head, below the heading. */
  readonly lines: readonly string[];
  /** At the right of the heading. */
  readonly beside: string;
  readonly table: CertificateTable;
  /** Share of the width of each column. */
  readonly shares: readonly number[];
  /** At the foot, one to a line, under the notes. */
  readonly foot: readonly string[];
  readonly rowHeight: number;
}

export function drawWorkingSpeedsCard(
  sheet: Sheet,
  content: WorkingSpeedsCardContent,
  { complete }: { readonly complete: boolean },
): void {
  sheet.paragraph(sheet.root, 'P', content.instructions, SMALL_FAINT, sheet.left, sheet.width);
  if (!complete) {
    sheet.paragraph(sheet.root, 'P', content.replacementNote, SMALL_FAINT, sheet.left, sheet.width);
  }
  sheet.y += GAP / 2;
  const fronts = sidesOf(sheet, frontOf(content));
  const backs = sidesOf(sheet, backOf(content));
  const left = sheet.left + (sheet.width - 2 * WIDTH) / 2;
  for (let card = 0; card < Math.max(fronts.length, backs.length); card++) {
    sheet.need(HEIGHT + GAP / 2);
    const { y } = sheet;
    drawMarks(sheet, { x: left, y });
    drawSide(sheet, fronts[card] ?? withoutTable(fronts[0]!), { x: left, y });
    drawSide(sheet, backs[card] ?? withoutTable(backs[0]!), { x: left + WIDTH, y });
    sheet.y = y + HEIGHT + GAP;
  }
  sheet.root.end();
}

function frontOf({ camera, read, speeds, pageNotice }: WorkingSpeedsCardContent): Side {
  return {
    lines: camera,
    beside: read,
    table: speeds,
    shares: [0.15, 0.24, 0.18, 0.43],
    foot: pageNotice === '' ? [] : [pageNotice],
    rowHeight: ROW.most,
  };
}

function backOf({ camera, stoppedDown, origin, pageNotice }: WorkingSpeedsCardContent): Side {
  const figures = stoppedDown.columns.length - 1;
  return {
    lines: [],
    beside: camera.at(-1) ?? '',
    table: stoppedDown,
    shares: [0.22, ...Array.from({ length: figures }, () => 0.78 / figures)],
    foot: pageNotice === '' ? origin : [...origin, pageNotice],
    rowHeight: ROW.most,
  };
}

const withoutTable = (side: Side): Side => ({
  ...side,
  table: { heading: '', columns: [], rows: [], notes: [] },
});

/** More rows than one side takes go on a second card. Each is numbered then. */
function sidesOf(sheet: Sheet, side: Side): readonly Side[] {
  const { rows } = side.table;
  const around =
    2 * PAD + LEAD.title + side.lines.length * LEAD.line + LEAD.head + footHeight(sheet, side) + 3;
  const room = HEIGHT - around;
  const capacity = Math.max(1, Math.floor(room / ROW.least));
  const count = Math.max(1, Math.ceil(rows.length / capacity));
  const each = Math.ceil(rows.length / count);
  return Array.from({ length: count }, (_, index) => ({
    ...side,
    rowHeight: Math.min(ROW.most, room / Math.max(1, each)),
    beside: count === 1 ? side.beside : `${side.beside} (${index + 1} of ${count})`,
    table: { ...side.table, rows: rows.slice(index * each, (index + 1) * each) },
  }));
}

const footHeight = (sheet: Sheet, { table, foot }: Side) =>
  table.notes.reduce((sum, note) => sum + sheet.heightOf(note, NOTE, INNER), 0) +
  foot.length * LEAD.line +
  NOTE_GAP;

function drawSide(sheet: Sheet, side: Side, { x, y }: Place): void {
  const { table, lines, foot } = side;
  const left = x + PAD;
  let at = y + PAD;
  if (table.heading !== '') {
    const title = fitted(sheet, table.heading, TITLE, INNER / 2);
    const top = at;
    sheet.tagged(sheet.root, 'H1', () => sheet.writeLine(table.heading, title, left, top));
  }
  drawLine(sheet, side.beside, LINE, { x: left + INNER / 2, y: at + 2 }, INNER / 2, 'right');
  at += LEAD.title;
  for (const [index, line] of lines.entries()) {
    drawLine(sheet, line, index === 0 ? FIRM : LINE, { x: left, y: at }, INNER);
    at += LEAD.line;
  }
  if (table.rows.length > 0) drawTable(sheet, side, { x: left, y: at + 1 });
  at = y + HEIGHT - PAD - footHeight(sheet, side);
  for (const note of table.notes) {
    const top = at;
    sheet.tagged(sheet.root, 'P', () => sheet.write(note, NOTE, left, top, INNER));
    at += sheet.heightOf(note, NOTE, INNER);
  }
  at += NOTE_GAP;
  for (const line of foot) {
    drawLine(sheet, line, line === foot.at(-1) && foot.length === 1 ? FIRM : LINE, { x: left, y: at }, INNER);
    at += LEAD.line;
  }
}

function drawTable(sheet: Sheet, { table, shares, rowHeight }: Side, { x, y }: Place): void {
  const starts = shares.map(
    (_, index) => x + INNER * shares.slice(0, index).reduce((sum, one) => sum + one, 0),
  );
  const element = sheet.open(sheet.root, 'Table');
  const drawRow = (cells: readonly string[], top: number, head: boolean) => {
    const row = sheet.open(element, 'TR');
    cells.forEach((cell, index) => {
      const style = head
        ? HEAD
        : { ...(index === 0 ? FIRM : LINE), size: (LINE.size * rowHeight) / ROW.most };
      const right = table.columns[index]!.align === 'right';
      const width = INNER * shares[index]! - (right ? COLUMN_GAP : 0);
      const write = () => writeFitted(sheet, cell, style, { x: starts[index]!, y: top }, width, right);
      if (head) sheet.tagged(row, 'TH', write, { scope: 'Column' });
      else if (index === 0) sheet.tagged(row, 'TH', write, { scope: 'Row' });
      else sheet.tagged(row, 'TD', write);
    });
    row.end();
  };
  drawRow(
    table.columns.map(({ head }) => head),
    y,
    true,
  );
  table.rows.forEach((cells, index) => {
    const top = y + LEAD.head + index * rowHeight;
    sheet.rule(x, top - 0.8, INNER, index === 0 ? 0.6 : 0.3, index === 0 ? INK : HAIRLINE);
    drawRow(cells, top, false);
  });
  element.end();
}

/** One tagged line, made smaller where it is too wide; nothing is drawn of an empty one. */
function drawLine(
  sheet: Sheet,
  text: string,
  style: Style,
  place: Place,
  width: number,
  align: 'left' | 'right' = 'left',
): void {
  if (text === '') return;
  sheet.tagged(sheet.root, 'P', () => writeFitted(sheet, text, style, place, width, align === 'right'));
}

function writeFitted(
  sheet: Sheet,
  text: string,
  style: Style,
  { x, y }: Place,
  width: number,
  right: boolean,
): void {
  const small = fitted(sheet, text, style, width);
  const start = right ? x + width - sheet.widthOf(text, small) : x;
  // On the line that the full size would stand on.
  sheet.writeLine(text, small, start, y + (style.size - small.size) * 0.9);
}

function fitted(sheet: Sheet, text: string, style: Style, width: number): Style {
  const wide = sheet.widthOf(text, style);
  return wide <= width ? style : { ...style, size: Math.max(SMALLEST, (style.size * width) / wide) };
}

/** Corners to cut at, outside the card, and the line to fold along. */
function drawMarks(sheet: Sheet, { x, y }: Place): void {
  const { doc } = sheet;
  const right = x + 2 * WIDTH;
  const bottom = y + HEIGHT;
  sheet.artifact(() => {
    doc.lineWidth(0.5);
    for (const [cornerX, outwards] of [
      [x, -1],
      [right, 1],
    ] as const) {
      for (const [cornerY, down] of [
        [y, -1],
        [bottom, 1],
      ] as const) {
        const fromX = cornerX + outwards * CUT.distance;
        const fromY = cornerY + down * CUT.distance;
        doc.moveTo(fromX, cornerY).lineTo(fromX + outwards * CUT.length, cornerY);
        doc.moveTo(cornerX, fromY).lineTo(cornerX, fromY + down * CUT.length);
      }
    }
    doc.stroke(INK);
    doc
      .rect(x, y, 2 * WIDTH, HEIGHT)
      .lineWidth(0.25)
      .stroke(HAIRLINE);
    doc
      .moveTo(x + WIDTH, y)
      .lineTo(x + WIDTH, bottom)
      .dash(2, { space: 2 })
      .stroke(FAINT)
      .undash();
  });
}
