/** Small PDFs with attachments, made as the certificate's writer makes them. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import PDFDocument from 'pdfkit';
import { hashStatement, sha256Hex } from '../../app/certificate/data-file.ts';

export interface PdfParts {
  readonly files?: readonly { readonly name: string; readonly bytes: Uint8Array<ArrayBuffer> }[];
  readonly info?: Readonly<Record<string, string>>;
  readonly compress?: boolean;
}

export function pdfOf({
  files = [],
  info = {},
  compress = true,
}: PdfParts): Promise<Uint8Array<ArrayBuffer>> {
  const date = new Date('2031-03-06T12:00:00Z');
  const maker = { Creator: 'Leafclock', Producer: 'Leafclock' };
  const doc = new PDFDocument({ compress, info: { ...maker, CreationDate: date, ...info } });
  doc.text('A paper with words (and brackets) in it.');
  for (const { name, bytes } of files) {
    doc.file(Buffer.from(bytes), { name, type: 'application/json', creationDate: date, modifiedDate: date });
  }
  return new Promise((resolve) => {
    const chunks: Buffer[] = [];
    doc.on('data', (chunk: Buffer) => chunks.push(chunk));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.end();
  });
}

/** A certificate with its data, which states their SHA-256 or another one. */
export async function certificateOf(
  data: Uint8Array<ArrayBuffer>,
  stated?: string,
): Promise<Uint8Array<ArrayBuffer>> {
  const Keywords = hashStatement(stated ?? (await sha256Hex(data)));
  return pdfOf({ files: [{ name: 'readings-0042.json', bytes: data }], info: { Keywords } });
}

/** What a program of Debian's makes of a PDF: `arguments` may name the files as IN and OUT. */
export function through(program: string, words: readonly string[], pdf: Uint8Array): Uint8Array<ArrayBuffer> {
  const directory = mkdtempSync(join(tmpdir(), 'leafclock-paper-'));
  try {
    const [input, output] = [join(directory, 'in.pdf'), join(directory, 'out')];
    writeFileSync(input, pdf);
    const names: Readonly<Record<string, string>> = { IN: input, OUT: output };
    execFileSync(
      program,
      words.map((word) => names[word] ?? word),
      { stdio: 'ignore' },
    );
    return new Uint8Array(readFileSync(output));
  } finally {
    rmSync(directory, { recursive: true });
  }
}

/** An object replaced by an update at the end of the file, as editors append them (ISO 32000-1, 7.5.6). */
export function updated(pdf: Uint8Array, object: number, body: Uint8Array): Uint8Array<ArrayBuffer> {
  const text = Buffer.from(pdf).toString('latin1');
  const before = /startxref\s+(\d+)\s+%%EOF\s*$/.exec(text)![1];
  const trailer = /trailer\s*<<([\s\S]*?)>>\s*startxref/.exec(text)![1]!;
  const head = Buffer.concat([Buffer.from(`\n${object} 0 obj\n`), body, Buffer.from('\nendobj\n')]);
  const offset = String(pdf.length + 1).padStart(10, '0');
  const table = `xref\n0 1\n0000000000 65535 f \n${object} 1\n${offset} 00000 n \ntrailer\n<<${trailer}/Prev ${before}>>\n`;
  const end = `${table}startxref\n${pdf.length + head.length}\n%%EOF\n`;
  return new Uint8Array(Buffer.concat([pdf, head, Buffer.from(end, 'latin1')]));
}

/** Number of the object that the pattern stands in. */
export function objectWith(pdf: Uint8Array, pattern: RegExp): number {
  const text = Buffer.from(pdf).toString('latin1');
  return Number(/(\d+) 0 obj\s*$/.exec(text.slice(0, text.search(pattern)).replace(/<<[^<>]*$/, ''))![1]);
}
