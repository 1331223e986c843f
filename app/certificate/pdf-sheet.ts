/** A page cursor over pdfkit: room on the page, tagged text, and marks that a screen reader should skip. */

import type PDFDocument from 'pdfkit';
import type { Paper } from './certificate.ts';

type Doc = InstanceType<typeof PDFDocument>;
export type Structure = ReturnType<Doc['struct']>;

export type Face = 'regular' | 'bold';

export interface Style {
  readonly face: Face;
  /** Points. */
  readonly size: number;
  readonly colour: string;
  readonly align?: 'left' | 'right' | 'center';
}

export const INK = '#1c1c1c';
export const FAINT = '#5f5f5f';
export const HAIRLINE = '#b9b9b4';

export const BODY: Style = { face: 'regular', size: 8.5, colour: INK };
export const SMALL: Style = { face: 'regular', size: 7.5, colour: INK };
export const SMALL_FAINT: Style = { face: 'regular', size: 7.5, colour: FAINT };

/** Points. The binding margins are the same on both papers. */
const MARGIN = { side: 42, top: 40, bottom: 58 };
const SIZES: { readonly [paper in Paper]: readonly [number, number] } = {
  A4: [595.28, 841.89],
  Letter: [612, 792],
};

interface TagOptions {
  /** Words for a figure. */
  readonly alt?: string;
  /** What a header cell heads. */
  readonly scope?: 'Column' | 'Row';
  /** Columns a cell stands over. */
  readonly span?: number;
}

export class Sheet {
  readonly left = MARGIN.side;
  readonly top = MARGIN.top;
  readonly width: number;
  /** Lowest y for content; the foot of the page is below. */
  readonly bottom: number;
  readonly pageHeight: number;
  /** The structure that holds everything. */
  readonly root: Structure;
  y: number = MARGIN.top;
  /** Pages so far. */
  pages = 0;
  readonly doc: Doc;
  private readonly paper: Paper;

  constructor(doc: Doc, paper: Paper) {
    const [width, height] = SIZES[paper];
    this.doc = doc;
    this.paper = paper;
    this.width = width - 2 * MARGIN.side;
    this.pageHeight = height;
    this.bottom = height - MARGIN.bottom;
    this.addPage();
    this.root = doc.struct('Document');
    doc.addStructure(this.root);
  }

  /** Without margins of pdfkit's own, which would start a page by themselves under the footer. */
  addPage(): void {
    this.doc.addPage({ size: [...SIZES[this.paper]], margin: 0 });
    this.y = this.top;
    this.pages += 1;
  }

  /** A page that is still empty takes anything. */
  fits(height: number): boolean {
    return this.y + height <= this.bottom || this.y === this.top;
  }

  /** Starts a page if less than `height` is left. True if it did. Never called inside a structure's content. */
  need(height: number): boolean {
    if (this.fits(height)) return false;
    this.addPage();
    return true;
  }

  open(parent: Structure, type: string): Structure {
    const element = this.doc.struct(type);
    parent.add(element);
    return element;
  }

  /** One structure whose content `draw` puts on the present page. */
  tagged(parent: Structure, type: string, draw: () => void, options: TagOptions = {}): void {
    const { span, ...known } = options;
    const element = this.doc.struct(type, known, [draw]);
    if (span !== undefined) setSpan(element, span);
    parent.add(element);
  }

  /** Rules, tints and repeated lines: seen, not read out. */
  artifact(draw: () => void, type: 'Layout' | 'Pagination' = 'Layout'): void {
    this.doc.markContent('Artifact', { type });
    draw();
    this.doc.endMarkedContent();
  }

  rule(x: number, y: number, width: number, thickness = 0.5, colour = HAIRLINE): void {
    this.artifact(() =>
      this.doc
        .lineWidth(thickness)
        .moveTo(x, y)
        .lineTo(x + width, y)
        .stroke(colour),
    );
  }

  use(style: Style): void {
    this.doc.font(style.face).fontSize(style.size).fillColor(style.colour);
  }

  heightOf(text: string, style: Style, width: number): number {
    this.use(style);
    return this.doc.heightOfString(text, { width });
  }

  widthOf(text: string, style: Style): number {
    this.use(style);
    return this.doc.widthOfString(text);
  }

  /** Plain drawing of a text whose upper left corner is at x, y. */
  write(text: string, style: Style, x: number, y: number, width: number): void {
    this.use(style);
    this.doc.text(text, x, y, { width, align: style.align ?? 'left' });
  }

  /** One line as it is, trailing spaces kept. */
  writeLine(text: string, style: Style, x: number, y: number): void {
    this.use(style);
    this.doc.text(text, x, y, { lineBreak: false });
  }

  /** A tagged text at the cursor, broken over pages by its lines where it is longer than a page. */
  paragraph(parent: Structure, type: string, text: string, style: Style, x: number, width: number): void {
    for (const part of this.parts(text, style, width)) {
      const height = this.heightOf(part, style, width);
      this.need(height);
      const y = this.y;
      this.tagged(parent, type, () => this.write(part, style, x, y, width));
      this.y = y + height;
    }
  }

  /** Pieces of a text that each fit on a page. */
  private parts(text: string, style: Style, width: number): readonly string[] {
    if (this.heightOf(text, style, width) <= this.bottom - this.top) return [text];
    const middle = text.length >> 1;
    const space = text.indexOf(' ', middle);
    const cut = space === -1 ? middle : space + 1;
    return [...this.parts(text.slice(0, cut), style, width), ...this.parts(text.slice(cut), style, width)];
  }
}

/** Height that must have room below a row: the last row of a table never goes over the page alone. */
export const keptWith = (heights: readonly number[], index: number): number =>
  index === heights.length - 2 ? heights[index + 1]! : 0;

/** pdfkit has no option for it; ColSpan is an attribute of tables, ISO 32000-1, 14.8.5.7. */
function setSpan(cell: Structure, span: number): void {
  const { data } = (cell as unknown as { readonly dictionary: { readonly data: { A?: object } } }).dictionary;
  data.A = { ...(data.A ?? { O: 'Table' }), ColSpan: span };
}
