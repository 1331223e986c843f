/** As found beside as left, line by line. */
import type { Comparison } from './certificate.ts';
import { BLOCK_GAP, drawMarginHeading, HEADING, HEADING_WIDTH } from './pdf-section.ts';
import { BODY, FAINT, type Sheet, type Style } from './pdf-sheet.ts';

/** A comparison that is longer than this share of a page is begun where this many of its rows have room. */
const KEPT_WHOLE = 0.4;
const ROWS_TO_BEGIN_WITH = 3;

export function drawComparison(sheet: Sheet, comparison: Comparison): void {
  const x = sheet.left + HEADING_WIDTH;
  const width = sheet.width - HEADING_WIDTH;
  const columns = [0.3, 0.35, 0.35].map((share) => share * width);
  const starts = [x, x + columns[0]!, x + columns[0]! + columns[1]!];
  const lines = comparison.rows.map(({ label, stages }) => [label, stages['as found'], stages['as left']]);
  const heights = lines.map((cells) =>
    Math.max(...cells.map((cell, index) => sheet.heightOf(cell, BODY, columns[index]! - 8))),
  );
  const heightOf = (some: readonly number[]) => some.reduce((sum, height) => sum + height + 2, 14);
  const whole = heightOf(heights) <= KEPT_WHOLE * (sheet.bottom - sheet.top);
  drawMarginHeading(
    sheet,
    comparison.heading,
    heightOf(whole ? heights : heights.slice(0, ROWS_TO_BEGIN_WITH)),
  );

  const head = ['', 'As found', 'As left'];
  const table = sheet.open(sheet.root, 'Table');
  drawLine(head, HEADING, 11, 'TH');
  lines.forEach((cells, index) => {
    if (sheet.need(heights[index]!)) repeatHead();
    drawLine(cells, BODY, heights[index]!, 'TD');
  });
  table.end();
  for (const note of comparison.notes) {
    sheet.y += 2;
    sheet.paragraph(sheet.root, 'P', note, { ...BODY, face: 'bold' }, x, width);
  }
  sheet.y += BLOCK_GAP;

  /** For the eye only. */
  function repeatHead(): void {
    sheet.artifact(() => {
      head.forEach((cell, index) => {
        if (cell !== '') sheet.write(cell, HEADING, starts[index]!, sheet.y, columns[index]! - 8);
      });
    }, 'Pagination');
    sheet.y += 13;
  }

  function drawLine(cells: readonly string[], style: Style, height: number, type: 'TH' | 'TD'): void {
    const row = sheet.open(table, 'TR');
    const y = sheet.y;
    cells.forEach((cell, index) => {
      const write = () => {
        if (cell !== '')
          sheet.write(
            cell,
            index === 0 ? { ...style, colour: FAINT } : style,
            starts[index]!,
            y,
            columns[index]! - 8,
          );
      };
      if (type === 'TH' && cell !== '') sheet.tagged(row, 'TH', write, { scope: 'Column' });
      else if (index === 0 && cell !== '') sheet.tagged(row, 'TH', write, { scope: 'Row' });
      else sheet.tagged(row, 'TD', write);
    });
    row.end();
    sheet.y = y + height + 2;
  }
}
