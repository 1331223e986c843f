/** The PDF around a paper's pages: fonts, properties, logo, attached data. */

import PDFDocument from 'pdfkit';
import type { Logo, Picture } from '../record/job.ts';
import type { PaperHead } from './certificate.ts';
import type { HasGlyph } from './plain-text.ts';

type Doc = PDFKit.PDFDocument;

/** TrueType files. WOFF2 won't do: pdfkit's font library fails on accented letters in it. */
export interface CertificateFonts {
  readonly regular: ArrayBuffer;
  readonly bold: ArrayBuffer;
}

/** What goes into the PDF besides strings. */
export interface Enclosures {
  readonly logo: Logo | null;
  readonly dataFile: { readonly name: string; readonly bytes: Uint8Array<ArrayBuffer> } | null;
  /** Those that the content names; none when left out. */
  readonly pictures?: readonly Picture[];
}

/** What the drawing of a paper needs to know besides its content. */
export interface PaperExtras {
  /** Null without one, or where it can't be read. */
  readonly logo: Logo | null;
  /** Every character of the content could be printed. */
  readonly complete: boolean;
}

export const NOTHING_ENCLOSED: Enclosures = { logo: null, dataFile: null };

export type WritingStage = 'loading fonts' | 'setting the pages' | 'writing the file';

/** `fraction` of the whole work, 0 to 1. */
export type WritingProgress = (stage: WritingStage, fraction: number) => void;

type Properties = Pick<PaperHead, 'language' | 'issued' | 'title' | 'number' | 'workshop'> & {
  readonly keywords?: string;
};

/** A document without a page, with both fonts in it. @throws Error if a font can't be read. */
export function newDocument(content: Properties, fonts: CertificateFonts): Doc {
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
      ...(content.keywords ? { Keywords: content.keywords } : {}),
    },
  };
  const doc = new PDFDocument(options as unknown as PDFKit.PDFDocumentOptions);
  doc.registerFont('regular', fonts.regular);
  doc.registerFont('bold', fonts.bold);
  return doc;
}

/** Whether both faces have the character. pdfkit keeps its parsed font in a field its types don't show. */
export function glyphTest(doc: Doc): HasGlyph {
  const faces = ['regular', 'bold'].map((face) => {
    doc.font(face);
    return (doc as unknown as { _font: { font: { hasGlyphForCodePoint: HasGlyph } } })._font.font;
  });
  return (codePoint) => faces.every((face) => face.hasGlyphForCodePoint(codePoint));
}

/** Puts a file into the document, as the data it was made from. */
export function attach(doc: Doc, { name, bytes }: NonNullable<Enclosures['dataFile']>, issued: string): void {
  const date = new Date(issued);
  doc.file(new Uint8Array(bytes).buffer, {
    name,
    type: 'application/json',
    description: 'Readings behind this paper',
    creationDate: date,
    modifiedDate: date,
    relationship: 'Data',
  } as PDFKit.Mixins.PDFAttachmentOptions);
}

/** The bytes that the document gives from now to its end. */
export function collected(doc: Doc): Promise<Uint8Array<ArrayBuffer>> {
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
