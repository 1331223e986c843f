/**
 * The data file in one of our own certificates, and whether it is still the one that the certificate states:
 * see data-file.md. A check tells a changed file from an unchanged one. It is no signature: whoever changes the
 * data can change what the file states as well, so that the page asks to compare with what is printed.
 */
import { PdfDocument } from './attached-data-document.ts';
import {
  damaged,
  PaperError,
  type PdfDictionary,
  PdfString,
  type PdfValue,
} from './attached-data-objects.ts';
import { DATA_FORMAT, DATA_VERSION, isDataFileName, sha256Hex, statedHash } from './data-file.ts';
import { canonicalJson } from './data-file-json.ts';

const LARGEST_FILE = 64 << 20;
const LARGEST_DATA = 32 << 20;
const MOST_ATTACHMENTS = 100;

/** Creator and Producer in the properties of our PDFs. */
const PDF_MAKER = 'Leafclock';

export interface PaperCheck {
  readonly kind: 'certificate' | 'data file';
  /** Of the certificate, as its data say it; null where they can't be read. */
  readonly number: string | null;
  /** Of the data as they are now; null where the PDF carries none. */
  readonly sha256: string | null;
  /** As the PDF states it; null for a data file, and for a PDF that states none. */
  readonly printed: string | null;
  readonly outcome:
    | 'agrees'
    | 'changed'
    | 'data missing' // the PDF states a sum and carries no data
    | 'nothing stated' // the PDF carries data and states no sum, or has neither
    | 'to compare'; // a data file alone: only its paper can say
  /** What was found, and what to do about it. */
  readonly sentence: string;
}

/**
 * The data file attached to a certificate; null where a PDF has none of ours.
 *
 * @throws PaperError with a sentence: no PDF, damaged, too large, or saved again in a form not read here.
 */
export async function attachedData(pdf: Uint8Array): Promise<Uint8Array<ArrayBuffer> | null> {
  return dataOf(documentOf(pdf));
}

/**
 * Looks at a certificate or at a data file.
 *
 * @throws PaperError with a sentence for anything else, and for what can't be read.
 */
export async function checkPaper(file: Blob): Promise<PaperCheck> {
  if (file.size > LARGEST_FILE) throw new PaperError('This file is too large for a paper of Leafclock.');
  let bytes: Uint8Array<ArrayBuffer>;
  try {
    bytes = new Uint8Array(await file.arrayBuffer());
  } catch (error) {
    throw new PaperError('The browser could not read the file. Choose it again.', { cause: error });
  }
  return startsAsPdf(bytes) ? checkPdf(bytes) : checkDataFile(bytes);
}

async function checkPdf(bytes: Uint8Array): Promise<PaperCheck> {
  const document = documentOf(bytes);
  const info = document.dictionary(document.trailer.get('Info')) ?? new Map<string, PdfValue>();
  const text = (key: string) => {
    const value = document.resolve(info.get(key));
    return value instanceof PdfString ? value.text : '';
  };
  const data = await dataOf(document);
  if (data === null && text('Creator') !== PDF_MAKER && text('Producer') !== PDF_MAKER) {
    const maker = text('Creator') || text('Producer');
    const named = maker === '' ? '' : ` It names “${maker.slice(0, 80)}” as what made it.`;
    throw new PaperError(`This PDF was not written by Leafclock and carries none of its data.${named}`);
  }
  const printed = statedHash(text('Keywords'));
  const sha256 = data === null ? null : await sha256Hex(data);
  const number = data === null ? null : (contentOf(data)?.number ?? null);
  return { kind: 'certificate', number, sha256, printed, ...pdfOutcome(sha256, printed, number) };
}

function pdfOutcome(
  sha256: string | null,
  printed: string | null,
  number: string | null,
): Pick<PaperCheck, 'outcome' | 'sentence'> {
  if (sha256 === null) {
    return printed === null
      ? {
          outcome: 'nothing stated',
          sentence: 'This paper of Leafclock carries no data that could be checked.',
        }
      : {
          outcome: 'data missing',
          sentence: 'This certificate states a sum for its data, but the data were taken out of the file.',
        };
  }
  const which = number === null ? 'this certificate' : `certificate no. ${number}`;
  if (printed === null) {
    const sentence = `The file of ${which} carries data but states no sum for them: compare with the printed one.`;
    return { outcome: 'nothing stated', sentence };
  }
  if (sha256 !== printed || number === null) {
    const sentence = `The data of ${which} are not those that it was written with: their SHA-256 is another.`;
    return { outcome: 'changed', sentence };
  }
  return {
    outcome: 'agrees',
    sentence: `The data of ${which} are those that the file states. Compare the SHA-256 with the one printed on the paper as well.`,
  };
}

async function checkDataFile(bytes: Uint8Array<ArrayBuffer>): Promise<PaperCheck> {
  const content = contentOf(bytes);
  if (content === null) {
    throw new PaperError('This is neither a certificate of Leafclock (PDF) nor the data file of one.');
  }
  const { number, canonical, newer } = content;
  const sha256 = await sha256Hex(bytes);
  const found = { kind: 'data file', number, sha256, printed: null } as const;
  const file = `This is the data file of certificate no. ${number}`;
  if (!canonical && !newer) {
    const sentence = `${file}, but not as it was written: it was changed, or saved again in another form.`;
    return { ...found, outcome: 'changed', sentence };
  }
  const sentence = `${file}. It is unchanged if its SHA-256 is the one printed on the paper.`;
  return { ...found, outcome: 'to compare', sentence };
}

/** Null unless it is a data file of ours. A newer version is one too: its sum can be compared. */
function contentOf(bytes: Uint8Array): { number: string; canonical: boolean; newer: boolean } | null {
  try {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
    const content: unknown = JSON.parse(text.replace(/^\uFEFF/, ''));
    if (typeof content !== 'object' || content === null) return null;
    const { format, version, certificate } = content as Record<string, unknown>;
    if (format !== DATA_FORMAT || typeof version !== 'number' || typeof certificate !== 'string') return null;
    return { number: certificate, canonical: canonicalJson(content) === text, newer: version > DATA_VERSION };
  } catch {
    return null; // No text, no JSON, or nested beyond all measure.
  }
}

const startsAsPdf = (bytes: Uint8Array) =>
  [0x25, 0x50, 0x44, 0x46, 0x2d].every((byte, i) => bytes[i] === byte);

function documentOf(bytes: Uint8Array): PdfDocument {
  if (!startsAsPdf(bytes)) throw new PaperError('This is no PDF.');
  if (bytes.length > LARGEST_FILE) throw new PaperError('This PDF is too large for a paper of Leafclock.');
  return new PdfDocument(bytes);
}

async function dataOf(document: PdfDocument): Promise<Uint8Array<ArrayBuffer> | null> {
  const root = document.dictionary(document.trailer.get('Root'));
  if (root === null) throw damaged('its first object is missing');
  const names = document.dictionary(root.get('Names'));
  const files = document.dictionary(names?.get('EmbeddedFiles'));
  const ours = attachments(document, files).filter((one) => isDataFileName(nameOf(document, one)));
  const [file] = ours;
  if (file === undefined) return null;
  if (ours.length > 1)
    throw new PaperError('This PDF carries more than one data file; a certificate has one.');
  const embedded = document.dictionary(file.get('EF'));
  const stream = document.stream(embedded?.get('F') ?? embedded?.get('UF'));
  if (stream === null) throw damaged('its data file is not where it should be');
  return stream.deflated ? inflated(stream.bytes) : new Uint8Array(stream.bytes);
}

/** The leaves of the name tree (ISO 32000-1, 7.9.6), which has few levels. */
function attachments(document: PdfDocument, node: PdfDictionary | null, level = 0): PdfDictionary[] {
  if (node === null) return [];
  if (level > 8) throw damaged('its list of attachments has no end');
  const leaves = document.list(node.get('Names')).filter((_, index) => index % 2 === 1);
  const found = [
    ...leaves.slice(0, MOST_ATTACHMENTS).flatMap((leaf) => document.dictionary(leaf) ?? []),
    ...document
      .list(node.get('Kids'))
      .slice(0, MOST_ATTACHMENTS)
      .flatMap((kid) => attachments(document, document.dictionary(kid), level + 1)),
  ];
  if (found.length > MOST_ATTACHMENTS) throw damaged('it has too many attachments');
  return found;
}

function nameOf(document: PdfDocument, file: PdfDictionary): string {
  const name = document.resolve(file.get('UF') ?? file.get('F'));
  return name instanceof PdfString ? name.text : '';
}

async function inflated(bytes: Uint8Array): Promise<Uint8Array<ArrayBuffer>> {
  const packed = new Blob([new Uint8Array(bytes)]);
  const reader = packed.stream().pipeThrough(new DecompressionStream('deflate')).getReader();
  const chunks: Uint8Array<ArrayBuffer>[] = [];
  let size = 0;
  try {
    for (;;) {
      const { done, value } = await reader.read().catch(() => {
        throw damaged('its data file can’t be unpacked');
      });
      if (done) break;
      size += value.length;
      if (size > LARGEST_DATA)
        throw new PaperError('The data file in this PDF is too large to be one of Leafclock.');
      chunks.push(value);
    }
  } finally {
    // Not cancelled, as in record/job-file-lines.ts; nobody asks any more, so no more is unpacked.
    reader.releaseLock();
  }
  return new Uint8Array(await new Blob(chunks).arrayBuffer());
}
