import { deflateSync } from 'node:zlib';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { attachedData, checkPaper } from '../../app/certificate/attached-data.ts';
import { PaperError } from '../../app/certificate/attached-data-objects.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { dataFileName, readingsData, sha256Hex } from '../../app/certificate/data-file.ts';
import { paperPdf } from '../../app/certificate/pdf.ts';
import { NOTHING_ENCLOSED } from '../../app/certificate/pdf-document.ts';
import { certificateOf, objectWith, pdfOf, through, updated } from './attached-data-rig.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedInput } from './invented-job.ts';
import { flowingText } from './pdf-tools.ts';

let data: Uint8Array<ArrayBuffer>;
let sha: string;
let pdf: Uint8Array<ArrayBuffer>;

beforeAll(async () => {
  const input = inventedInput();
  // A few firings are enough, and quick to compare.
  data = readingsData({ ...input, firings: input.firings.slice(0, 4) });
  sha = await sha256Hex(data);
  pdf = await certificateOf(data);
});

const bytesOf = (text: string) => new TextEncoder().encode(text).slice();
const textOf = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
const check = (bytes: Uint8Array<ArrayBuffer>) => checkPaper(new Blob([bytes]));

async function refusal(promise: Promise<unknown>): Promise<string> {
  const outcome = await promise.then(
    () => new Error('Nothing was thrown.'),
    (error: unknown) => error,
  );
  if (!(outcome instanceof PaperError)) throw outcome;
  expect(outcome.message).toMatch(/^[A-Z].*\.$/s);
  return outcome.message;
}

describe('data attached to a PDF', () => {
  it('are those that were put in, compressed or not', async () => {
    expect(await attachedData(pdf)).toEqual(data);
    const plain = await pdfOf({ compress: false, files: [{ name: 'readings-1.json', bytes: data }] });
    expect(await attachedData(plain)).toEqual(data);
  });

  it('are found among other attachments, under names of any script', async () => {
    const files = ['a.json', 'readings-Κ-7-Ж.json', 'z.txt'].map((name, i) => ({
      name,
      bytes: i === 1 ? data : bytesOf(name),
    }));
    expect(await attachedData(await pdfOf({ files }))).toEqual(data);
    expect(await attachedData(await pdfOf({ files: [files[0]!, files[2]!] }))).toBeNull();
    expect(await attachedData(await pdfOf({}))).toBeNull();
  });

  it('are refused when there are two of them', async () => {
    const files = ['readings-1.json', 'readings-2.json'].map((name) => ({ name, bytes: bytesOf(name) }));
    expect(await refusal(attachedData(await pdfOf({ files })))).toContain('more than one data file');
  });

  it('are the same as two other programs find (poppler, qpdf)', async () => {
    expect(through('pdfdetach', ['-save', '1', '-o', 'OUT', 'IN'], pdf)).toEqual(data);
    expect(
      through('bash', ['-c', 'qpdf --show-attachment=readings-0042.json "$0" > "$1"', 'IN', 'OUT'], pdf),
    ).toEqual(data);
  });

  it('are still found when qpdf has written the PDF anew', async () => {
    expect(await attachedData(through('qpdf', ['--object-streams=disable', 'IN', 'OUT'], pdf))).toEqual(data);
    expect(
      await attachedData(through('qpdf', ['--qdf', '--object-streams=disable', 'IN', 'OUT'], pdf)),
    ).toEqual(data);
  });

  it('are not guessed at in forms that are not read here', async () => {
    const again = through('qpdf', ['--object-streams=generate', 'IN', 'OUT'], pdf);
    expect(await refusal(attachedData(again))).toContain('saved again by another program');
    const locked = through(
      'qpdf',
      ['--encrypt', 'a', 'b', '256', '--', '--object-streams=disable', 'IN', 'OUT'],
      pdf,
    );
    expect(await refusal(attachedData(locked))).toContain('encrypted');
  });

  it('are refused when they blow up', async () => {
    const object = objectWith(pdf, /\/Type \/EmbeddedFile/);
    const bomb = deflateSync(Buffer.alloc(40 << 20, 0x20));
    const head = `<< /Type /EmbeddedFile /Filter /FlateDecode /Length ${bomb.length} >>\nstream\n`;
    const blown = updated(pdf, object, Buffer.concat([Buffer.from(head), bomb, Buffer.from('\nendstream')]));
    expect(blown.length).toBeLessThan(200_000);
    expect(await refusal(attachedData(blown))).toContain('too large');
  });
});

describe('checking a paper', () => {
  it('finds a certificate unchanged', async () => {
    const { sentence, ...found } = await check(pdf);
    expect(found).toEqual({
      kind: 'certificate',
      number: 'LC-2031-0007',
      sha256: sha,
      printed: sha,
      outcome: 'agrees',
    });
    expect(sentence).toContain('Compare the SHA-256 with the one printed');
  });

  it('finds the certificate as it is handed out unchanged', async () => {
    const input = inventedInput();
    const bytes = readingsData(input);
    const name = dataFileName(input.certificateNumber);
    const sha256 = await sha256Hex(bytes);
    const content = certificateContent({ ...input, dataFile: { name, sha256 } });
    const paper = await paperPdf(content, FONTS, { ...NOTHING_ENCLOSED, dataFile: { name, bytes } });
    expect(await check(paper)).toMatchObject({
      number: input.certificateNumber,
      sha256,
      printed: sha256,
      outcome: 'agrees',
    });
    expect(Buffer.from((await attachedData(paper))!).equals(bytes)).toBe(true);
    expect(flowingText(paper).replaceAll(' ', '')).toContain(sha256);
  });

  it('finds a data file, and leaves the comparison to the reader', async () => {
    expect(await check(data)).toMatchObject({
      kind: 'data file',
      number: 'LC-2031-0007',
      sha256: sha,
      printed: null,
      outcome: 'to compare',
    });
  });

  it('finds a data file changed or saved in another form', async () => {
    const pretty = bytesOf(JSON.stringify(JSON.parse(textOf(data)), null, 2));
    expect(await check(pretty)).toMatchObject({ outcome: 'changed', number: 'LC-2031-0007' });
    const marked = bytesOf(`\uFEFF${textOf(data)}`);
    expect((await check(marked)).outcome).toBe('changed');
    // One digit other: it is in proper form, and only the sum tells.
    const digit = bytesOf(textOf(data).replace('"ordinal":1,', '"ordinal":2,'));
    const found = await check(digit);
    expect(found.outcome).toBe('to compare');
    expect(found.sha256).not.toBe(sha);
  });

  it('finds the data of a certificate replaced by an update at its end', async () => {
    const object = objectWith(pdf, /\/Type \/EmbeddedFile/);
    const other = deflateSync(Buffer.from(textOf(data).replace('"ordinal":1,', '"ordinal":2,')));
    const head = `<< /Type /EmbeddedFile /Filter [/FlateDecode] /Length ${other.length} >>\r\nstream\r\n`;
    const replaced = updated(
      pdf,
      object,
      Buffer.concat([Buffer.from(head), other, Buffer.from('\r\nendstream')]),
    );
    expect(through('pdfdetach', ['-save', '1', '-o', 'OUT', 'IN'], replaced)).not.toEqual(data);
    const found = await check(replaced);
    expect(found).toMatchObject({ kind: 'certificate', printed: sha, outcome: 'changed' });
    expect(found.sha256).not.toBe(sha);
  });

  it('finds data that belong to another certificate, or are none', async () => {
    const others = readingsData(inventedInput({ certificateNumber: 'LC-2031-0008' }));
    expect(await check(await certificateOf(others, sha))).toMatchObject({
      number: 'LC-2031-0008',
      outcome: 'changed',
    });
    const junk = bytesOf('not json');
    expect(await check(await certificateOf(junk, sha))).toMatchObject({ number: null, outcome: 'changed' });
    expect(await check(await certificateOf(junk))).toMatchObject({ number: null, outcome: 'changed' });
  });

  it('finds data taken out, and papers that never had any', async () => {
    const Keywords = `SHA-256 of the readings: ${sha}`;
    expect(await check(await pdfOf({ info: { Keywords } }))).toMatchObject({
      sha256: null,
      printed: sha,
      outcome: 'data missing',
    });
    expect(await check(await pdfOf({}))).toMatchObject({
      sha256: null,
      printed: null,
      outcome: 'nothing stated',
    });
    const silent = await pdfOf({ files: [{ name: 'readings-1.json', bytes: data }] });
    expect(await check(silent)).toMatchObject({ sha256: sha, printed: null, outcome: 'nothing stated' });
  });

  it('takes a sum for stated only in the words it is stated in', async () => {
    for (const Keywords of [
      sha,
      `SHA-256 of the readings: ${sha}0`,
      `SHA-256 of the readings: ${sha.slice(1)}`,
    ]) {
      expect((await check(await pdfOf({ info: { Keywords } }))).printed).toBeNull();
    }
  });

  it('refuses a PDF of another program, by its name', async () => {
    const foreign = await pdfOf({ info: { Creator: 'Invented Writer 3', Producer: 'Inventor' } });
    expect(await refusal(check(foreign))).toBe(
      'This PDF was not written by Leafclock and carries none of its data. It names “Invented Writer 3” as what made it.',
    );
    const nameless = await pdfOf({ info: { Creator: '', Producer: '' } });
    expect(await refusal(check(nameless))).not.toContain('names');
  });

  it('refuses files of other kinds', async () => {
    for (const text of [
      '',
      'hello',
      '{}',
      '[]',
      'null',
      '{"format":"leafclock readings"}',
      '['.repeat(200_000),
    ]) {
      expect(await refusal(check(bytesOf(text)))).toContain('neither a certificate');
    }
    expect(await refusal(attachedData(bytesOf('hello')))).toBe('This is no PDF.');
  });

  it('says when a data file is of a newer form, whose sum can still be compared', async () => {
    const newer = bytesOf('{"certificate":"N-1","format":"leafclock readings","version":99}');
    expect(await check(newer)).toMatchObject({ kind: 'data file', number: 'N-1', outcome: 'to compare' });
  });

  it('answers with a sentence whatever is cut off or changed, and never takes changed data for good', async () => {
    const damage = fc.array(fc.tuple(fc.nat(), fc.nat({ max: 255 })), { maxLength: 6 });
    await fc.assert(
      fc.asyncProperty(damage, fc.nat(), fc.boolean(), async (changes, end, cut) => {
        const damaged = pdf.slice(0, cut ? end % pdf.length : pdf.length);
        for (const [where, value] of changes) if (damaged.length > 0) damaged[where % damaged.length] = value;
        try {
          const found = await check(damaged);
          if (found.outcome === 'agrees' && found.printed === sha)
            expect(await attachedData(damaged)).toEqual(data);
          if (found.sha256 !== sha) expect(found.outcome).not.toBe('agrees');
        } catch (error) {
          if (!(error instanceof PaperError)) throw error;
          expect(error.message).toMatch(/^[A-Z].*\.$/s);
        }
      }),
      { numRuns: 150, seed: 6 },
    );
  });

  it('answers with a sentence when any of the structure is changed', async () => {
    // The places outside streams, where every byte is part of the structure.
    const text = Buffer.from(pdf).toString('latin1');
    const places = [
      ...text.matchAll(/obj|xref|trailer|startxref|\/EF|\/Names|\/Length \d+|stream\n|\d{10} /g),
    ];
    for (const { index, 0: found } of places) {
      for (const at of [index, index + found.length - 1]) {
        const damaged = pdf.slice();
        damaged[at]! ^= 3;
        await check(damaged).catch((error: unknown) => {
          if (!(error instanceof PaperError)) throw error;
        });
      }
    }
    expect(places.length).toBeGreaterThan(30);
  });
});
