import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { paperPdf, unprintable } from '../../app/certificate/pdf.ts';
import { NOTHING_ENCLOSED } from '../../app/certificate/pdf-document.ts';
import { LEAF_SERIES, seriesFromLabels } from '../../app/judge/series.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedFirings, inventedInput, inventedJob } from './invented-job.ts';
import {
  documentInfo,
  flowingText,
  fontList,
  pageTexts,
  soundness,
  structureText,
  wordsAtFoot,
} from './pdf-tools.ts';

const written = (input = inventedInput()) => paperPdf(certificateContent(input), FONTS);
/** The usual one, written once. */
const usual = written();
const manyMarks = seriesFromLabels(
  'many',
  'Many marks',
  Array.from({ length: 34 }, (_, i) => `1/${Math.round(2 * 1.2 ** i)}`).filter(
    (label, i, all) => all.indexOf(label) === i,
  ),
);
const withCustomer = (name: string) => {
  const job = inventedJob();
  return inventedInput({ job: { ...job, customer: { name, contact: '' } } });
};

/** The line of the table that begins with this mark, with the line of fractions under it. */
function tableLines(pages: readonly string[], mark: string): string {
  const lines = pages.join('\n').split('\n');
  const at = lines.findIndex((line) => new RegExp(`^ *${mark} .* (ms|–) `).test(line));
  return lines
    .slice(at, at + 2)
    .join(' ')
    .replace(/\s+/g, ' ')
    .trim();
}

describe('the certificate as a PDF', () => {
  it('prints exactly the figures of its content, row by row', async () => {
    const content = certificateContent(inventedInput());
    const stages = ['as found', 'as left'] as const;
    const pages = pageTexts(await usual).slice(1);
    for (const row of content.rows.filter(({ mark }) => mark !== 'B')) {
      const line = tableLines(pages, row.mark);
      const first = [row.mark, row.reference];
      const second = [row.referenceFraction];
      for (const stage of stages) {
        const { n, mean, fraction, error, uncertainty, spread, repeats, verdict, conformity } =
          row.stages[stage];
        first.push(n, mean, error, spread, verdict);
        second.push(fraction, uncertainty, repeats, conformity === '–' ? '' : `P ${conformity}`);
      }
      expect(line.startsWith(first.join(' '))).toBe(true);
      expect(line).toContain(second.filter((cell) => cell !== '–' && cell !== '').join(' '));
    }
  });

  it('prints every sentence of its content', async () => {
    const content = certificateContent(inventedInput());
    const text = flowingText(await usual);
    const sentences = [
      content.title,
      content.subtitle,
      content.numberLine,
      content.workshop.name,
      ...content.workshop.lines,
      ...content.notices,
      ...content.particulars.flatMap((group) => group.fields.flatMap((field) => field.lines)),
      ...content.result.paragraphs,
      ...content.plainKey,
      ...content.front.flatMap(({ heading, paragraphs, items }) => [heading, ...paragraphs, ...items]),
      content.detailsHeading,
      ...content.key,
      ...content.tables.flatMap(({ heading, columns, rows, notes }) => [
        heading,
        columns.map(({ head }) => head).join(' '),
        ...rows.map((cells) => cells.join(' ')),
        ...notes,
      ]),
      ...content.comparisons.flatMap(({ rows, notes }) => [
        ...rows.flatMap(({ label, stages }) => `${label} ${stages['as found']} ${stages['as left']}`),
        ...notes,
      ]),
      ...content.sections.flatMap(({ heading, paragraphs, items }) => [heading, ...paragraphs, ...items]),
      content.signature.name,
      content.endMark,
    ];
    expect(sentences.filter((sentence) => !text.includes(sentence.replace(/\s+/g, ' ')))).toEqual([]);
    expect(text).not.toContain(content.replacementNote);
  });

  it.each(['A4', 'Letter'] as const)('is sound on %s, in four pages for ten speeds', async (paper) => {
    const pdf = await written(inventedInput({ paper }));
    const { status, said } = soundness(pdf);
    expect(said).toContain('No syntax or stream encoding errors');
    expect(status).toBe(0);
    const info = documentInfo(pdf);
    expect(info).toMatch(paper === 'A4' ? /595\.28 x 841\.89/ : /612 x 792/);
    expect(info).toMatch(/Title: +Certificate of shutter speeds, no\. LC-2031-0007/);
    expect(info).toMatch(/Tagged: +yes/);
    const pages = pageTexts(pdf);
    expect(pages.length).toBe(4);
    // The signature never stands alone: the limits of the certificate are above it.
    expect(pages.at(-1)).toMatch(/Limits of this[\s\S]*Authorised by/);
  });

  it('numbers each page, names the certificate on each, and ends with a mark', async () => {
    const pages = pageTexts(await usual);
    pages.forEach((page, index) => {
      expect(page).toContain(`Page ${index + 1} of ${pages.length}`);
      expect(page).toContain('Certificate no. LC-2031-0007');
      expect(page.includes('End of certificate no. LC-2031-0007')).toBe(index === pages.length - 1);
    });
  });

  it('repeats the head of a table that goes over two pages, and loses no row', async () => {
    const job = inventedJob({ series: manyMarks });
    const pdf = await written(inventedInput({ job, firings: inventedFirings(manyMarks) }));
    const pages = pageTexts(pdf);
    const pagesWith = (pattern: RegExp) =>
      pages.flatMap((page, index) =>
        page.split('\n').flatMap((line) => (pattern.test(line) ? index + 1 : [])),
      );
    const speeds = pagesWith(/Marked +Reference +n +Mean/);
    const spreads = pagesWith(/Marked +n +Fastest/);
    const budgets = pagesWith(/Marked +Repeatability/);
    expect(pagesWith(/Marked +Real speed/)).toEqual([1, 2]);
    expect(speeds).toEqual([2, 3]);
    expect(spreads).toEqual([3, 4]);
    // As left over two pages, and behind it as found.
    expect(budgets).toEqual([4, 5, 5]);
    for (const { label } of manyMarks.speeds) {
      expect(pagesWith(new RegExp(`^ *${label} +(1/)?[\\d.]+ s.* within `)), `plain ${label}`).toHaveLength(
        1,
      );
      expect(pagesWith(new RegExp(`^ *${label} +[\\d.]+ ms `)), `speed ${label}`).toHaveLength(1);
      expect(pagesWith(new RegExp(`^ *${label} +5 +[\\d.]+ ms `)), `spread ${label}`).toHaveLength(1);
      expect(pagesWith(new RegExp(`^ *${label} +0\\.\\d{4} `)), `budget ${label}`).toHaveLength(2);
    }
    // The repeated head is for the eye: the structure has each table and its head once.
    const structure = structureText(pdf);
    for (const [head, tables] of [
      ['"Real speed"', 2],
      ['"Reference"', 1],
      ['"Fastest"', 1],
      ['"Repeatability"', 2],
    ] as const)
      expect(structure.split(head), head).toHaveLength(tables + 1);
    expect(soundness(pdf).status).toBe(0);
  });

  it('gives the same bytes for the same content', async () => {
    const content = certificateContent(inventedInput());
    const [first, second] = [await paperPdf(content, FONTS), await paperPdf(content, FONTS)];
    expect(Buffer.compare(first, second)).toBe(0);
    const later = await written(inventedInput({ issued: '2031-03-07T12:00:00+01:00' }));
    expect(Buffer.compare(first, later)).not.toBe(0);
  });

  it('is tagged: headings, header cells with their scope, the chart in words', async () => {
    const structure = structureText(await usual);
    expect(structure).toMatch(/^ *H1 /m);
    expect(structure.match(/^ *H2 /gm)!.length).toBeGreaterThan(8);
    expect(structure).toMatch(/\/Scope \/Column/);
    expect(structure).toMatch(/\/Scope \/Row/);
    expect(structure).toMatch(/Figure/);
    expect(structure).toMatch(/^ *L /m);
  });

  it('flags the practice bench on the first page and at the foot of every page', async () => {
    const firings = inventedFirings(LEAF_SERIES).map((firing) => ({
      ...firing,
      board: { ...firing.board, practice: true },
    }));
    const pages = pageTexts(await written(inventedInput({ firings, job: inventedJob({ invented: false }) })));
    expect(pages[0]).toContain('Practice bench: these readings are of a simulated shutter.');
    for (const page of pages) expect(page).toContain('Practice bench: simulated shutter');
    const real = pageTexts(await written(inventedInput({ job: inventedJob({ invented: false }) })));
    expect(real.join('\n')).not.toMatch(/practice|simulated|invented/i);
  });

  it('reports the stages of its work, rising', async () => {
    const seen: [string, number][] = [];
    await paperPdf(certificateContent(inventedInput()), FONTS, NOTHING_ENCLOSED, (stage, part) =>
      seen.push([stage, part]),
    );
    expect(seen.map(([stage]) => stage)).toEqual(['setting the pages', 'writing the file']);
    expect(seen[1]![1]).toBeGreaterThan(seen[0]![1]);
  });

  it('writes an empty certificate rather than failing', async () => {
    const pdf = await written(inventedInput({ firings: [] }));
    expect(soundness(pdf).status).toBe(0);
    const text = flowingText(pdf);
    expect(text).toContain('As left: 0 of 10 marked speeds within their band.');
    expect(text).toContain('no firing was read');
  });
});

describe('names from many places', () => {
  it.each([
    ['Latin', 'Łukasz Świętochowski-Gößwein, Þórður Ærøskøbing'],
    ['Vietnamese', 'Nguyễn Thị Ánh Nguyệt, Đặng Hữu Phước'],
    ['Greek', 'Αλεξάνδρα Παπαδοπούλου'],
    ['Cyrillic', 'Катерина Щербак, Ђорђе Њежић'],
  ])('come back from the PDF as written: %s', async (_, name) => {
    const input = withCustomer(name);
    expect(unprintable(certificateContent(input), FONTS)).toEqual([]);
    const pdf = await written(input);
    expect(flowingText(pdf).normalize('NFC')).toContain(name);
    expect(fontList(pdf)).toMatch(/DejaVuSansCondensed +.*yes yes yes/);
  });

  it('are searched beforehand for characters that cannot be printed', async () => {
    const input = withCustomer('Jo 漢 שלום محمد 📷 漢');
    const content = certificateContent(input);
    expect(unprintable(content, FONTS)).toEqual([...'漢שלוםمحد📷']);
    const text = flowingText(await paperPdf(content, FONTS));
    expect(text).toContain('Jo □ □□□□ □□□□ □ □');
    expect(text).toContain(content.replacementNote);
  });

  it('never stop the writing, whatever they are made of', async () => {
    await fc.assert(
      fc.asyncProperty(fc.string({ unit: 'binary', maxLength: 60 }), async (name) => {
        const pdf = await written({ ...withCustomer(name), firings: [] });
        expect(pdf.length).toBeGreaterThan(10_000);
      }),
      { seed: 20310306, numRuns: 12 },
    );
  });

  it('of any length stay on the paper', async () => {
    const job = inventedJob();
    const long = `${'Überlang'.repeat(60)} ${'word '.repeat(2000)}end-of-name`;
    const input = inventedInput({ job: { ...job, camera: { ...job.camera, description: long } } });
    const pdf = await written(input);
    expect(soundness(pdf).status).toBe(0);
    expect(flowingText(pdf)).toContain('end-of-name');
    // Nothing but the foot of the page stands below the room for content.
    const feet = wordsAtFoot(pdf, 56);
    expect(feet.length).toBeGreaterThan(2);
    feet.forEach((foot, index) => {
      expect(foot).toBe(`Certificate no. LC-2031-0007 Invented data Page ${index + 1} of ${feet.length}`);
    });
  });
});
