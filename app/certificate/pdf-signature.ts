/** The end of a certificate: who signs it, and that nothing follows. */
import type { CertificateContent } from './certificate.ts';
import { INK, type Sheet, SMALL } from './pdf-sheet.ts';

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
