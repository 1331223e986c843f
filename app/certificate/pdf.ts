import PDFDocument from 'pdfkit';
import type { CertificateContent } from './certificate.ts';
import { errorChart } from './chart.ts';
import {
  drawComparison,
  drawFirstPageHead,
  drawFooters,
  drawParticulars,
  drawResult,
  drawSection,
  drawSignature,
  SIGNATURE_HEIGHT,
  sectionHeight,
} from './pdf-blocks.ts';
import { drawPrimitives } from './pdf-chart.ts';
import { drawPlainTable } from './pdf-plain-table.ts';
import { BODY, Sheet, SMALL_FAINT } from './pdf-sheet.ts';
import { drawSpeedTable } from './pdf-table.ts';
import { type HasGlyph, replaceUnprintable, unprintableIn } from './plain-text.ts';

/** TrueType files. WOFF2 won't do: pdfkit's font library fails on accented letters in it. */
export interface CertificateFonts {
  readonly regular: ArrayBuffer;
  readonly bold: ArrayBuffer;
}

export type WritingStage = 'loading fonts' | 'setting the pages' | 'writing the file';

/** `fraction` of the whole work, 0 to 1. */
export type WritingProgress = (stage: WritingStage, fraction: number) => void;

/** Characters of the content that the fonts lack or that are written from right to left, each once. */
export function unprintable(content: CertificateContent, fonts: CertificateFonts): readonly string[] {
  return unprintableIn(content, glyphTest(newDocument(content, fonts)));
}

/**
 * The certificate as a tagged PDF. The same content and fonts give the same bytes in the same surroundings.
 * Characters that can't be printed come out as open squares.
 *
 * @throws Error if a font can't be read.
 */
export async function certificatePdf(
  content: CertificateContent,
  fonts: CertificateFonts,
  onProgress: WritingProgress = () => {},
): Promise<Uint8Array<ArrayBuffer>> {
  onProgress('setting the pages', 0.2);
  const doc = newDocument(content, fonts);
  const bytes = collected(doc);
  const hasGlyph = glyphTest(doc);
  const complete = unprintableIn(content, hasGlyph).length === 0;
  drawCertificate(new Sheet(doc, content.paper), replaceUnprintable(content, hasGlyph), complete);
  onProgress('writing the file', 0.7);
  doc.end();
  return bytes;
}

function drawCertificate(sheet: Sheet, content: CertificateContent, complete: boolean): void {
  drawFirstPageHead(sheet, content);
  drawParticulars(sheet, content.particulars);
  drawResult(sheet, content.result);
  drawSpeedTable(sheet, content);
  sheet.y += 4;
  for (const sentence of content.key) {
    sheet.paragraph(sheet.root, 'P', sentence, SMALL_FAINT, sheet.left, sheet.width);
  }
  sheet.y += 8;
  drawChart(sheet, content);
  for (const table of content.tables) drawPlainTable(sheet, table);
  for (const comparison of content.comparisons) drawComparison(sheet, comparison);
  content.sections.forEach((section, index) => {
    // A signature must not stand on a page of its own.
    if (index === content.sections.length - 1) sheet.need(sectionHeight(sheet, section) + SIGNATURE_HEIGHT);
    drawSection(sheet, section);
  });
  if (!complete) sheet.paragraph(sheet.root, 'P', content.replacementNote, BODY, sheet.left, sheet.width);
  drawSignature(sheet, content);
  sheet.root.end();
  drawFooters(sheet, content);
}

const CHART_HEIGHT = { least: 115, most: 190, empty: 30 };

function drawChart(sheet: Sheet, content: CertificateContent): void {
  const headHeight = 14;
  sheet.need(headHeight + CHART_HEIGHT.least);
  const { title, description } = content.chart;
  sheet.paragraph(sheet.root, 'H2', title, { ...BODY, face: 'bold' }, sheet.left, sheet.width);
  sheet.y += 2;
  const y = sheet.y;
  const room = Math.min(CHART_HEIGHT.most, sheet.bottom - y);
  const height = content.chart.marks.length === 0 ? CHART_HEIGHT.empty : room;
  const primitives = errorChart(content.chart, sheet.width, height);
  sheet.tagged(sheet.root, 'Figure', () => drawPrimitives(sheet, primitives, sheet.left, y), {
    alt: description,
  });
  sheet.y = y + height + 12;
}

function newDocument(content: CertificateContent, fonts: CertificateFonts): PDFKit.PDFDocument {
  const issued = new Date(content.issued);
  const options = {
    // The default would be one of the standard fonts, which have no Greek, Cyrillic or Vietnamese.
    font: null,
    autoFirstPage: false,
    bufferPages: true,
    pdfVersion: '1.7',
    tagged: true,
    lang: content.language,
    displayTitle: true,
    info: {
      Title: `${content.title}, no. ${content.number}`,
      Author: content.workshop.name,
      Creator: 'Leafclock',
      Producer: 'Leafclock',
      CreationDate: issued,
      ModDate: issued,
    },
  };
  const doc = new PDFDocument(options as unknown as PDFKit.PDFDocumentOptions);
  doc.registerFont('regular', fonts.regular);
  doc.registerFont('bold', fonts.bold);
  return doc;
}

/** Whether both faces have the character. pdfkit keeps its parsed font in a field its types don't show. */
function glyphTest(doc: PDFKit.PDFDocument): HasGlyph {
  const faces = ['regular', 'bold'].map((face) => {
    doc.font(face);
    return (doc as unknown as { _font: { font: { hasGlyphForCodePoint: HasGlyph } } })._font.font;
  });
  return (codePoint) => faces.every((face) => face.hasGlyphForCodePoint(codePoint));
}

function collected(doc: PDFKit.PDFDocument): Promise<Uint8Array<ArrayBuffer>> {
  return new Promise((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    doc.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    doc.on('error', reject);
    doc.on('end', () => {
      const bytes = new Uint8Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0));
      let offset = 0;
      for (const chunk of chunks) {
        bytes.set(chunk, offset);
        offset += chunk.length;
      }
      resolve(bytes);
    });
  });
}
