/** The pages of a job sheet: what was noted, in tables and sections, and the pictures picked for it. */
import type { Picture } from '../record/job.ts';
import type { JobSheetContent, JobSheetPicture } from './job-sheet.ts';
import type { PaperExtras } from './pdf-document.ts';
import { drawFirstPageHead } from './pdf-first-page-head.ts';
import { drawFooters } from './pdf-footers.ts';
import { drawParticulars } from './pdf-particulars.ts';
import { drawPlainTable } from './pdf-plain-table.ts';
import { drawSection } from './pdf-section.ts';
import { BODY, FAINT, type Sheet, SMALL, type Style } from './pdf-sheet.ts';

const HEADING: Style = { ...BODY, face: 'bold' };
/** Pictures stand two to a row. Points. */
const PICTURE = { gap: 14, tallest: 210, captionGap: 3, below: 12 };

/** `pictures`: those that can be read, by id. */
export function drawJobSheet(
  sheet: Sheet,
  content: JobSheetContent,
  extras: PaperExtras,
  pictures: ReadonlyMap<string, Picture>,
): void {
  drawFirstPageHead(sheet, content, extras.logo);
  drawParticulars(sheet, content.particulars);
  for (const part of content.parts) {
    if (part.kind === 'section') drawSection(sheet, part.section);
    else drawPlainTable(sheet, part.table);
  }
  drawPictures(sheet, content, pictures);
  if (!extras.complete) {
    sheet.paragraph(sheet.root, 'P', content.replacementNote, BODY, sheet.left, sheet.width);
  }
  sheet.y += 4;
  const end: Style = { ...SMALL, face: 'bold', align: 'center' };
  sheet.paragraph(sheet.root, 'P', `— ${content.endMark} —`, end, sheet.left, sheet.width);
  sheet.root.end();
  drawFooters(sheet, content);
}

interface Placed {
  readonly picture: JobSheetPicture;
  readonly kept: Picture | undefined;
  /** Of the drawing. */
  readonly width: number;
  readonly height: number;
  readonly caption: string;
}

function drawPictures(sheet: Sheet, content: JobSheetContent, pictures: ReadonlyMap<string, Picture>): void {
  if (content.pictures.length === 0) return;
  const column = (sheet.width - PICTURE.gap) / 2;
  const placed = content.pictures.map((picture) => place(content, picture, pictures.get(picture.id), column));
  const rows = Array.from({ length: Math.ceil(placed.length / 2) }, (_, row) =>
    placed.slice(2 * row, 2 * row + 2),
  );
  rows.forEach((row, index) => {
    const tallest = Math.max(
      ...row.map(
        ({ height, caption }) => height + PICTURE.captionGap + sheet.heightOf(caption, SMALL, column),
      ),
    );
    const heading = index === 0 ? sheet.heightOf(content.picturesHeading, HEADING, sheet.width) + 4 : 0;
    sheet.need(heading + tallest);
    if (index === 0) {
      sheet.paragraph(sheet.root, 'H2', content.picturesHeading, HEADING, sheet.left, sheet.width);
      sheet.y += 4;
    }
    const { y } = sheet;
    row.forEach((one, side) => {
      const x = sheet.left + side * (column + PICTURE.gap);
      drawPicture(sheet, one, x, y);
      const below = y + one.height + PICTURE.captionGap;
      sheet.tagged(sheet.root, 'P', () => sheet.write(one.caption, SMALL, x, below, column));
    });
    sheet.y = y + tallest + PICTURE.below;
  });
}

function place(
  content: JobSheetContent,
  picture: JobSheetPicture,
  kept: Picture | undefined,
  column: number,
): Placed {
  if (kept === undefined) {
    const caption = `${picture.caption} (${content.pictureMissing})`;
    return { picture, kept, width: 0, height: 0, caption };
  }
  const scale = Math.min(column / kept.width, PICTURE.tallest / kept.height);
  return {
    picture,
    kept,
    width: scale * kept.width,
    height: scale * kept.height,
    caption: picture.caption,
  };
}

function drawPicture(sheet: Sheet, { kept, width, height, caption }: Placed, x: number, y: number): void {
  if (kept === undefined) return;
  // The library takes bytes as well as a path; its types know only an ArrayBuffer.
  const source = kept.bytes.slice().buffer;
  sheet.tagged(sheet.root, 'Figure', () => sheet.doc.image(source, x, y, { width, height }), {
    alt: caption,
  });
  sheet.artifact(() => sheet.doc.lineWidth(0.4).rect(x, y, width, height).stroke(FAINT));
}
