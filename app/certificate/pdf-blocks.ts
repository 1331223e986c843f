/** The blocks around the table: head of the first page, particulars, sections, signature, foot of each page. */

import type { Logo } from '../record/job.ts';
import type { CertificateContent, Comparison, Field, FieldGroup, PaperHead, Section } from './certificate.ts';
import { BODY, FAINT, HAIRLINE, INK, type Sheet, SMALL, SMALL_FAINT, type Style } from './pdf-sheet.ts';

const TITLE: Style = { face: 'bold', size: 19, colour: INK };
const SUBTITLE: Style = { face: 'regular', size: 9, colour: INK };
const HEADING: Style = { face: 'bold', size: 8.5, colour: INK };
const NOTICE: Style = { face: 'bold', size: 9.5, colour: INK };
const FIRM: Style = { face: 'bold', size: 10, colour: INK };
const RESULT: Style = { face: 'regular', size: 9.5, colour: INK };
/** Headings stand in the margin beside their text. */
const HEADING_WIDTH = 104;
const GAP = 11;

type FirstPageHead = PaperHead & Pick<CertificateContent, 'subtitle' | 'notices'>;

export function drawFirstPageHead(sheet: Sheet, content: FirstPageHead, logo: Logo | null): void {
  const half = sheet.width * 0.6;
  const { root } = sheet;
  const top = sheet.y;
  const beside = logo === null ? null : drawLogo(sheet, logo, content.logoWords);
  const left = sheet.left + (beside === null ? 0 : beside.width + LOGO_GAP);
  const room = sheet.left + half - left;
  sheet.paragraph(root, 'P', content.workshop.name, FIRM, left, room);
  for (const line of content.workshop.lines) sheet.paragraph(root, 'P', line, SMALL_FAINT, left, room);
  const below = Math.max(sheet.y, top + (beside?.height ?? 0));
  const numberStyle: Style = { ...FIRM, align: 'right' };
  const numberX = sheet.left + half + 10;
  const numberWidth = sheet.width - half - 10;
  sheet.tagged(root, 'P', () => sheet.write(content.numberLine, numberStyle, numberX, top, numberWidth));
  sheet.y = Math.max(below, top + sheet.heightOf(content.numberLine, numberStyle, numberWidth)) + 7;
  sheet.rule(sheet.left, sheet.y, sheet.width, 1.4, INK);
  sheet.y += 9;
  sheet.paragraph(root, 'H1', content.title, TITLE, sheet.left, sheet.width);
  sheet.paragraph(root, 'P', content.subtitle, SUBTITLE, sheet.left, sheet.width);
  sheet.y += 6;
  for (const notice of content.notices) drawNotice(sheet, notice);
}

/** A logo is scaled into this, up as well as down. Points. */
const LOGO_BOX = { width: 130, height: 52 };
const LOGO_GAP = 12;

/** Leaves the cursor where it is. */
function drawLogo(
  sheet: Sheet,
  { bytes, width, height }: Logo,
  words: string,
): { readonly width: number; readonly height: number } {
  const scale = Math.min(LOGO_BOX.width / width, LOGO_BOX.height / height);
  const size = { width: scale * width, height: scale * height };
  const { y } = sheet;
  // The library takes bytes as well as a path; its types know only an ArrayBuffer.
  const source = new Uint8Array(bytes).buffer;
  sheet.tagged(sheet.root, 'Figure', () => sheet.doc.image(source, sheet.left, y, size), { alt: words });
  return size;
}

function drawNotice(sheet: Sheet, notice: string): void {
  const width = sheet.width - 20;
  const height = sheet.heightOf(notice, NOTICE, width) + 9;
  const y = sheet.y;
  sheet.artifact(() => sheet.doc.lineWidth(1.2).rect(sheet.left, y, sheet.width, height).stroke(INK));
  sheet.tagged(sheet.root, 'P', () => sheet.write(notice, NOTICE, sheet.left + 10, y + 4.5, width));
  sheet.y = y + height + 5;
}

const LABEL_WIDTH = 46;
const GROUP_SHARES = [0.36, 0.38, 0.26];
const GROUP_GAP = 14;

/** Groups of fields side by side; below each other where one of them is too long for that. */
export function drawParticulars(sheet: Sheet, groups: readonly FieldGroup[]): void {
  const room = sheet.width - GROUP_GAP * (groups.length - 1);
  const widths = groups.map((_, index) => (GROUP_SHARES[index] ?? 1 / groups.length) * room);
  const tallest = Math.max(...groups.map((group, index) => groupHeight(sheet, group, widths[index]!)));
  if (tallest > (sheet.bottom - sheet.top) / 3) {
    for (const group of groups) drawLongGroup(sheet, group);
    return;
  }
  const top = sheet.y + 3;
  let x = sheet.left;
  groups.forEach((group, index) => {
    drawGroup(sheet, group, x, top, widths[index]!);
    x += widths[index]! + GROUP_GAP;
  });
  sheet.y = top + tallest + GAP;
}

const fieldText = ({ lines }: Field) => lines.join('\n');

const fieldHeight = (sheet: Sheet, field: Field, width: number) =>
  Math.max(
    sheet.heightOf(field.label, SMALL, LABEL_WIDTH),
    sheet.heightOf(fieldText(field), SMALL, width - LABEL_WIDTH),
  ) + 1;

const groupHeight = (sheet: Sheet, group: FieldGroup, width: number) =>
  group.fields.reduce(
    (sum, field) => sum + fieldHeight(sheet, field, width),
    sheet.heightOf(group.heading, HEADING, width) + 1.5,
  );

function drawGroup(sheet: Sheet, group: FieldGroup, x: number, top: number, width: number): void {
  sheet.rule(x, top - 3, width);
  sheet.tagged(sheet.root, 'H2', () => sheet.write(group.heading, HEADING, x, top, width));
  let y = top + sheet.heightOf(group.heading, HEADING, width) + 1.5;
  for (const field of group.fields) {
    sheet.tagged(sheet.root, 'P', () => {
      // The space keeps label and value apart for whoever has them read out.
      sheet.writeLine(`${field.label} `, { ...SMALL, colour: FAINT }, x, y);
      sheet.write(fieldText(field), SMALL, x + LABEL_WIDTH, y, width - LABEL_WIDTH);
    });
    y += fieldHeight(sheet, field, width);
  }
}

const drawLongGroup = (sheet: Sheet, { heading, fields }: FieldGroup): void =>
  drawSection(sheet, {
    heading,
    paragraphs: fields.map((field) => `${field.label}: ${fieldText(field)}`),
    items: [],
  });

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
  sheet.y += GAP - 2;
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
  return 4 + Math.max(text, sheet.heightOf(heading, HEADING, HEADING_WIDTH - 8)) + GAP - 2;
}

/** A rule and the heading; leaves the cursor where the text beside it begins. */
function drawMarginHeading(
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
  sheet.y += GAP;

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

export const SIGNATURE_HEIGHT = 78;

/** Signature line, date, and the mark that nothing follows. Kept together. */
export function drawSignature(sheet: Sheet, content: CertificateContent): void {
  const { name, date, line } = content.signature;
  sheet.need(SIGNATURE_HEIGHT);
  sheet.y += 32;
  const y = sheet.y;
  const width = 200;
  sheet.rule(sheet.left, y, width, 0.8, INK);
  sheet.tagged(sheet.root, 'P', () => sheet.write(`${line}: ${name}`, SMALL, sheet.left, y + 3, width + 60));
  const dateX = sheet.left + 300;
  sheet.rule(dateX, y, 120, 0.8, INK);
  sheet.tagged(sheet.root, 'P', () => sheet.write(`Date: ${date}`, SMALL, dateX, y + 3, 120));
  sheet.y = y + 3 + sheet.heightOf(`${line}: ${name}`, SMALL, width + 60) + 14;
  sheet.paragraph(
    sheet.root,
    'P',
    `— ${content.endMark} —`,
    { ...SMALL, face: 'bold', align: 'center' },
    sheet.left,
    sheet.width,
  );
}

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
