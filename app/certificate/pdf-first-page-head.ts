/** Head of a paper's first page: workshop with its logo, number, title, notices. */
import type { Logo } from '../record/job.ts';
import type { CertificateContent, PaperHead } from './certificate.ts';
import { INK, type Sheet, SMALL_FAINT, type Style } from './pdf-sheet.ts';

const TITLE: Style = { face: 'bold', size: 19, colour: INK };
const SUBTITLE: Style = { face: 'regular', size: 9, colour: INK };
const NOTICE: Style = { face: 'bold', size: 9.5, colour: INK };
const FIRM: Style = { face: 'bold', size: 10, colour: INK };

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
