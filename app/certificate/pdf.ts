/** Any paper of the workshop as a tagged PDF. */

import { readableLogo, readablePictures } from './logo-check.ts';
import type { PaperContent } from './paper-content.ts';
import { drawCertificate } from './pdf-certificate.ts';
import {
  attach,
  type CertificateFonts,
  collected,
  type Enclosures,
  glyphTest,
  NOTHING_ENCLOSED,
  newDocument,
  type WritingProgress,
} from './pdf-document.ts';
import { drawJobSheet } from './pdf-job-sheet.ts';
import { Sheet } from './pdf-sheet.ts';
import { drawWorkingSpeedsCard } from './pdf-working-speeds-card.ts';
import { replaceUnprintable, unprintableIn } from './plain-text.ts';

/** Characters of the content that the fonts lack or that are written from right to left, each once. */
export function unprintable(content: PaperContent, fonts: CertificateFonts): readonly string[] {
  return unprintableIn(content, glyphTest(newDocument(content, fonts)));
}

/**
 * The same content, fonts and enclosures give the same bytes in the same surroundings. Characters that can't be
 * printed come out as open squares, and a logo that can't be read is left out: ask for both beforehand.
 *
 * @throws Error if a font can't be read.
 */
export async function paperPdf(
  content: PaperContent,
  fonts: CertificateFonts,
  enclosed: Enclosures = NOTHING_ENCLOSED,
  onProgress: WritingProgress = () => {},
): Promise<Uint8Array<ArrayBuffer>> {
  onProgress('setting the pages', 0.2);
  const logo = enclosed.logo !== null && (await readableLogo(enclosed.logo)) ? enclosed.logo : null;
  const pictures = await readablePictures(enclosed.pictures ?? []);
  const doc = newDocument(content, fonts);
  const bytes = collected(doc);
  const hasGlyph = glyphTest(doc);
  const complete = unprintableIn(content, hasGlyph).length === 0;
  if (enclosed.dataFile !== null) attach(doc, enclosed.dataFile, content.issued);
  const sheet = new Sheet(doc, content.paper);
  const printed = replaceUnprintable(content, hasGlyph);
  const extras = { logo, complete };
  if (printed.kind === 'certificate') drawCertificate(sheet, printed, extras);
  else if (printed.kind === 'job sheet') drawJobSheet(sheet, printed, extras, pictures);
  else drawWorkingSpeedsCard(sheet, printed, extras);
  onProgress('writing the file', 0.7);
  doc.end();
  return bytes;
}
