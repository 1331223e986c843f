/** Sections of text: their heading stands in the margin beside it. */
import type { Section } from './certificate.ts';
import { BODY, INK, type Sheet, type Style } from './pdf-sheet.ts';

export const HEADING: Style = { face: 'bold', size: 8.5, colour: INK };
const RESULT: Style = { face: 'regular', size: 9.5, colour: INK };
/** Headings stand in the margin beside their text. */
export const HEADING_WIDTH = 104;
/** Left free below a block. */
export const BLOCK_GAP = 11;

/** A section with its heading in the margin. */
export function drawSection(sheet: Sheet, section: Section, style: Style = BODY): void {
  const x = sheet.left + HEADING_WIDTH;
  const width = sheet.width - HEADING_WIDTH;
  const first = section.paragraphs[0] ?? section.items[0] ?? '';
  const heading = drawMarginHeading(sheet, section.heading, sheet.heightOf(first, style, width));
  for (const paragraph of section.paragraphs) {
    sheet.paragraph(sheet.root, 'P', paragraph, style, x, width);
    sheet.y += 2;
  }
  if (section.items.length > 0) {
    const list = sheet.open(sheet.root, 'L');
    for (const item of section.items) {
      const entry = sheet.open(list, 'LI');
      sheet.need(sheet.heightOf(item, style, width - 10));
      const y = sheet.y;
      sheet.tagged(entry, 'Lbl', () => sheet.write('–', style, x, y, 10));
      sheet.paragraph(entry, 'LBody', item, style, x + 10, width - 10);
      entry.end();
      sheet.y += 1;
    }
    list.end();
  }
  if (sheet.pages === heading.page) sheet.y = Math.max(sheet.y, heading.bottom);
  sheet.y += BLOCK_GAP - 2;
}

/** Height that drawSection takes on one page, about: to keep a section with what follows it. */
export function sectionHeight(
  sheet: Sheet,
  { heading, paragraphs, items }: Section,
  style: Style = BODY,
): number {
  const width = sheet.width - HEADING_WIDTH;
  const text =
    paragraphs.reduce((sum, paragraph) => sum + sheet.heightOf(paragraph, style, width) + 2, 0) +
    items.reduce((sum, item) => sum + sheet.heightOf(item, style, width - 10) + 1, 0);
  return 4 + Math.max(text, sheet.heightOf(heading, HEADING, HEADING_WIDTH - 8)) + BLOCK_GAP - 2;
}

/** A rule and the heading; leaves the cursor where the text beside it begins. */
export function drawMarginHeading(
  sheet: Sheet,
  heading: string,
  firstHeight: number,
): { readonly page: number; readonly bottom: number } {
  const height = sheet.heightOf(heading, HEADING, HEADING_WIDTH - 8);
  sheet.need(Math.max(height, firstHeight) + 8);
  sheet.rule(sheet.left, sheet.y, sheet.width);
  sheet.y += 4;
  const y = sheet.y;
  sheet.tagged(sheet.root, 'H2', () => sheet.write(heading, HEADING, sheet.left, y, HEADING_WIDTH - 8));
  return { page: sheet.pages, bottom: y + height };
}

export const drawResult = (sheet: Sheet, result: Section): void => drawSection(sheet, result, RESULT);
