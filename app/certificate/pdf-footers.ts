/** The foot of each page. */
import type { PaperHead } from './certificate.ts';
import { HAIRLINE, type Sheet, SMALL, SMALL_FAINT } from './pdf-sheet.ts';

/** Number, notice and 'Page 1 of 2' at the foot of every page, once all pages are there. */
export function drawFooters(sheet: Sheet, content: PaperHead): void {
  const { count } = sheet.doc.bufferedPageRange();
  const y = sheet.pageHeight - 40;
  const [side, middle] = [0.28 * sheet.width, 0.44 * sheet.width];
  for (let page = 0; page < count; page++) {
    sheet.doc.switchToPage(page);
    sheet.artifact(() => {
      sheet.doc
        .lineWidth(0.5)
        .moveTo(sheet.left, y - 5)
        .lineTo(sheet.left + sheet.width, y - 5)
        .stroke(HAIRLINE);
      sheet.write(content.numberLine, SMALL_FAINT, sheet.left, y, side);
      sheet.write(
        content.pageNotice,
        { ...SMALL, face: 'bold', align: 'center' },
        sheet.left + side,
        y,
        middle,
      );
      sheet.write(
        `Page ${page + 1} of ${count}`,
        { ...SMALL_FAINT, align: 'right' },
        sheet.left + side + middle,
        y,
        side,
      );
    }, 'Pagination');
  }
}
