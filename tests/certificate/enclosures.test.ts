import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { checkPaper } from '../../app/certificate/attached-data.ts';
import type { CertificateInput } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { dataFileName, readingsData, sha256Hex } from '../../app/certificate/data-file.ts';
import { readableLogo } from '../../app/certificate/logo-check.ts';
import { paperPdf } from '../../app/certificate/pdf.ts';
import type { Logo } from '../../app/record/job.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedInput } from './invented-job.ts';
import { inventedPicture } from './invented-picture.ts';
import {
  attachedFiles,
  documentInfo,
  drawnImages,
  figureWords,
  flowingText,
  soundness,
} from './pdf-tools.ts';
import { deadArrival, wholeInput } from './whole-job.ts';

/** Written as the page writes it, with its data. */
async function withData(input: CertificateInput, logo: Logo | null = null) {
  const bytes = readingsData(input);
  const dataFile = { name: dataFileName(input.certificateNumber), sha256: await sha256Hex(bytes) };
  const content = certificateContent({ ...input, dataFile });
  const pdf = await paperPdf(content, FONTS, { logo, dataFile: { name: dataFile.name, bytes } });
  return { pdf, bytes, ...dataFile };
}

/** 24 × 12 pixels, drawn for this test. */
const JPEG =
  '/9j/4AAQSkZJRgABAQAAAQABAAD/4gHYSUNDX1BST0ZJTEUAAQEAAAHIAAAAAAQwAABtbnRyUkdCIFhZWiAH4AABAAEAAAAAAABhY3NwAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAQAA9tYAAQAAAADTLQAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAlkZXNjAAAA8AAAACRyWFlaAAABFAAAABRnWFlaAAABKAAAABRiWFlaAAABPAAAABR3dHB0AAABUAAAABRyVFJDAAABZAAAAChnVFJDAAABZAAAAChiVFJDAAABZAAAAChjcHJ0AAABjAAAADxtbHVjAAAAAAAAAAEAAAAMZW5VUwAAAAgAAAAcAHMAUgBHAEJYWVogAAAAAAAAb6IAADj1AAADkFhZWiAAAAAAAABimQAAt4UAABjaWFlaIAAAAAAAACSgAAAPhAAAts9YWVogAAAAAAAA9tYAAQAAAADTLXBhcmEAAAAAAAQAAAACZmYAAPKnAAANWQAAE9AAAApbAAAAAAAAAABtbHVjAAAAAAAAAAEAAAAMZW5VUwAAACAAAAAcAEcAbwBvAGcAbABlACAASQBuAGMALgAgADIAMAAxADb/2wBDABQODxIPDRQSEBIXFRQYHjIhHhwcHj0sLiQySUBMS0dARkVQWnNiUFVtVkVGZIhlbXd7gYKBTmCNl4x9lnN+gXz/2wBDARUXFx4aHjshITt8U0ZTfHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHz/wAARCAAMABgDASIAAhEBAxEB/8QAGAAAAgMAAAAAAAAAAAAAAAAAAAYCBAX/xAAhEAABAwMFAQEAAAAAAAAAAAABAAMRAhITBBUhIlExkf/EABUBAQEAAAAAAAAAAAAAAAAAAAMC/8QAGBEBAQEBAQAAAAAAAAAAAAAAAQACETH/2gAMAwEAAhEDEQA/AGN9zEw44BNlJqj2AlHddbmy565mbZ6/icTyIKzdj0WbJZVH2y7qlyh7FsXnK+w5lYbcIi+kVR5IQpjgQEKZL//Z';

describe('the data that travel with a certificate', () => {
  it.each([
    ['of a whole job', wholeInput()],
    ['of a camera that did not fire', deadArrival()],
  ])('%s come out as they went in, and their SHA-256 is the one that is printed', async (_, input) => {
    const { pdf, bytes, name } = await withData(input);
    const files = attachedFiles(pdf);
    expect([...files.keys()]).toEqual([name]);
    const file = files.get(name)!;
    expect(Buffer.compare(file, bytes)).toBe(0);
    // Node's own hash, not the page's.
    const sha256 = createHash('sha256').update(file).digest('hex');
    const printed = /SHA-256 of that file: ((?:[0-9a-f]{8} ){7}[0-9a-f]{8}) /.exec(flowingText(pdf))![1]!;
    expect(printed.replaceAll(' ', '')).toBe(sha256);
    expect(documentInfo(pdf)).toContain(`SHA-256 of the readings: ${sha256}`);
    expect(soundness(pdf).status).toBe(0);
    expect(await checkPaper(new Blob([pdf]))).toMatchObject({
      outcome: 'agrees',
      number: input.certificateNumber,
      sha256,
      printed: sha256,
    });
  });

  it('say where they can be checked, and never name the customer', async () => {
    const { pdf, bytes } = await withData(wholeInput());
    expect(flowingText(pdf)).toMatch(/in Leafclock under Papers, “Check a paper”.*Any program that computes/);
    expect(new TextDecoder().decode(bytes)).not.toMatch(/Ida Beispiel|ida@example/);
  });

  it('are not spoken of on a paper without', async () => {
    const pdf = await paperPdf(certificateContent(inventedInput()), FONTS);
    expect(attachedFiles(pdf).size).toBe(0);
    expect(flowingText(pdf)).not.toContain('SHA-256');
    expect(documentInfo(pdf)).not.toContain('Keywords');
  });
});

describe('the letterhead', () => {
  const png = (width: number, height: number): Logo => inventedPicture('logo', { width, height });
  const jpeg: Logo = { type: 'image/jpeg', width: 24, height: 12, bytes: Buffer.from(JPEG, 'base64') };

  it.each([
    ['a wide PNG', png(400, 60), 130, 19.5],
    ['a tall PNG', png(30, 90), 17.33, 52],
    ['a small JPEG', jpeg, 104, 52],
  ])('has the logo scaled into its box: %s', async (_, logo, width, height) => {
    const { pdf } = await withData(wholeInput(), logo);
    const [drawn, ...others] = drawnImages(pdf);
    expect(others).toEqual([]);
    // pdfimages gives whole pixels to the inch, 17 of them for the coarsest here.
    expect(Math.abs(drawn!.width / width - 1)).toBeLessThan(0.03);
    expect(Math.abs(drawn!.height / height - 1)).toBeLessThan(0.03);
    expect(soundness(pdf).status).toBe(0);
    expect(figureWords(pdf)[0]).toBe('Logo of Musterwerkstatt Blendenstern');
    expect(flowingText(pdf)).toContain('Musterwerkstatt Blendenstern Erfundene Gasse 7 12345 Nirgendwo');
  });

  it('does without a logo that can’t be read, and that is known beforehand', async () => {
    const good = png(40, 20);
    const changed = good.bytes.slice();
    // Within the packed pixels.
    changed[changed.length - 20] = changed.at(-20)! ^ 0xff;
    // Said to have an alpha channel, or to be interlaced: the byte of IHDR alone decides.
    const withByte = (at: number, value: number) => good.bytes.map((byte, i) => (i === at ? value : byte));
    const broken: readonly Logo[] = [
      { ...good, bytes: withByte(25, 6) },
      { ...good, bytes: withByte(28, 1) },
      { ...good, bytes: good.bytes.slice(0, -30) },
      { ...good, bytes: changed },
      { ...good, bytes: new TextEncoder().encode('<svg xmlns="…"/>') },
      { ...good, type: 'image/jpeg' },
      { ...jpeg, bytes: jpeg.bytes.slice(0, -10) },
      { ...jpeg, type: 'image/png' },
    ];
    for (const logo of broken) expect(await readableLogo(logo)).toBe(false);
    expect(await readableLogo(good)).toBe(true);
    expect(await readableLogo(jpeg)).toBe(true);
    const { pdf } = await withData(inventedInput(), broken[3]!);
    expect(drawnImages(pdf)).toEqual([]);
    expect(soundness(pdf).status).toBe(0);
  });
});
