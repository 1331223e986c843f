import { describe, expect, it } from 'vitest';
import { type JobSheetContent, jobSheetContent } from '../../app/certificate/job-sheet.ts';
import { paperPdf, unprintable } from '../../app/certificate/pdf.ts';
import type { Job, JobNote } from '../../app/record/job.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedInput, inventedJob } from './invented-job.ts';
import { inventedPicture } from './invented-picture.ts';
import { drawnImages, flowingText, pageTexts, soundness, structureText, wordsAtFoot } from './pdf-tools.ts';
import { deadArrival, wholeInput, wholeJob } from './whole-job.ts';

const note = (id: string, text: string, picture: string | null, onJobSheet = true): JobNote => ({
  id,
  at: '2031-03-04T10:30:00+01:00',
  text,
  picture,
  onJobSheet,
});

const NOTES: readonly JobNote[] = [
  note('n1', 'Three screws of one length, the fourth is shorter (invented)', null),
  note('n2', 'Shim sat under the front cell (invented)', 'p1'),
  note('n3', '', 'p2'),
  note('n4', 'Not for the sheet', 'p3', false),
];

const headings = (content: JobSheetContent) =>
  content.parts.map((part) => (part.kind === 'section' ? part.section.heading : part.table.heading));
const table = (content: JobSheetContent, heading: string) => {
  const found = content.parts.flatMap((part) =>
    part.kind === 'table' && part.table.heading === heading ? [part.table] : [],
  );
  return found[0]!;
};
const section = (content: JobSheetContent, heading: string) => {
  const found = content.parts.flatMap((part) =>
    part.kind === 'section' && part.section.heading === heading ? [part.section] : [],
  );
  return found[0];
};
const whole = (changes: Partial<Job> = {}) => jobSheetContent(wholeInput({ job: wholeJob(changes) }));

describe('what a job sheet holds', () => {
  it('everything that was noted, in the order of the work', () => {
    const content = whole({
      notes: NOTES,
      issued: [
        { kind: 'certificate', number: 'LC-1', at: '2031-03-06T12:00:00+01:00', dataSha256: 'ab'.repeat(32) },
      ],
    });
    expect(headings(content)).toEqual([
      'States',
      'As found, in short',
      'Trials, in short',
      'After rest, in short',
      'As left, in short',
      'Firings left out or moved',
      'Remarks on the readings',
      'What the readings suggest',
      'Work between the readings, and what it did',
      'Governor',
      'Work',
      'Flash contact at X, as left',
      'Self-timer',
      'Exposure meter',
      'Mechanical checks',
      'Not tested',
      'Notes',
      'Papers handed out',
    ]);
  });

  it('customer, complaint and state history', () => {
    const content = whole();
    expect(JSON.stringify(content.particulars)).toContain('Ida Beispiel');
    expect(JSON.stringify(content.particulars)).toContain('Slow speeds hang in the cold');
    expect(table(content, 'States').rows).toEqual([
      ['2031-03-02 09:15', 'received'],
      ['2031-03-06 11:50', 'finished'],
    ]);
  });

  it('the readings of each stage', () => {
    const content = whole();
    expect(table(content, 'As found, in short').rows).toHaveLength(10);
    expect(table(content, 'Trials, in short').rows.map(([mark]) => mark)).toEqual(['1/15', '1/60', '1/250']);
    expect(table(content, 'As found, in short').notes[0]).toMatch(/^Held against the band/);
  });

  it('work, parts and lubricants, with dashes for what is not noted', () => {
    expect(section(whole(), 'Work')!.paragraphs).toEqual([
      'Done: Shutter opened, blades and governor cleaned, governor set; Back catch bent true.',
      'Parts: One light seal, foam 2 mm.',
      'Lubricants: Watch oil on the pivots of the governor; blades dry.',
      'Remarks: Let the self-timer be: its spring is tired.',
    ]);
    expect(section(jobSheetContent(inventedInput()), 'Work')!.paragraphs[0]).toBe('Done: –');
  });

  it('what the readings suggest of the governor, or why nothing', () => {
    expect(section(whole(), 'Governor')!.paragraphs[0]).toContain('other work was done with it');
    expect(section(whole({ steps: [] }), 'Governor')).toBeUndefined();
  });

  it('a check that something else stands for is not called untested', () => {
    expect(section(whole(), 'Not tested')!.paragraphs).toEqual(['Aperture blades.']);
    expect(section(whole({ selfTimer: [] }), 'Not tested')!.paragraphs).toEqual([
      'Aperture blades; Self-timer.',
    ]);
  });

  it('only the notes and pictures that were picked', () => {
    const content = whole({ notes: NOTES });
    expect(section(content, 'Notes')!.items).toEqual([
      '2031-03-04 10:30: Three screws of one length, the fourth is shorter (invented)',
    ]);
    expect(content.pictures).toEqual([
      { id: 'p1', caption: '2031-03-04 10:30: Shim sat under the front cell (invented)' },
      { id: 'p2', caption: '2031-03-04 10:30' },
    ]);
    expect(JSON.stringify(content)).not.toContain('Not for the sheet');
  });

  it('papers handed out, with the beginning of their hash', () => {
    const issued: Job['issued'] = [
      { kind: 'certificate', number: 'LC-1', at: '2031-03-06T12:00:00+01:00', dataSha256: 'ab'.repeat(32) },
      { kind: 'job sheet', number: 'LC-2', at: '2031-03-06T12:01:00+01:00', dataSha256: null },
    ];
    expect(table(whole({ issued }), 'Papers handed out').rows).toEqual([
      ['2031-03-06 12:00', 'certificate', 'LC-1', `${'ab'.repeat(8)}…`],
      ['2031-03-06 12:01', 'job sheet', 'LC-2', '–'],
    ]);
  });

  it('a camera that was never fired has one as well', () => {
    const content = jobSheetContent(deadArrival());
    expect(headings(content)).toEqual(['States', 'Work']);
    expect(section(content, 'Work')!.paragraphs.at(-1)).toContain('Mainspring broken');
  });

  it('says that firings could not be read, one or more', () => {
    expect(jobSheetContent(inventedInput({ unreadable: 1 })).notices.at(-1)).toContain(
      '1 firing of this job',
    );
    expect(jobSheetContent(inventedInput({ unreadable: 2 })).notices.at(-1)).toContain(
      '2 firings of this job',
    );
  });

  it('is frozen, and refuses a paper without a number', () => {
    expect(Object.isFrozen(whole().parts)).toBe(true);
    expect(() => jobSheetContent(inventedInput({ certificateNumber: '' }))).toThrow(
      'A paper needs a number.',
    );
  });
});

describe('the job sheet as a PDF', () => {
  const content = whole({ notes: NOTES });
  const pictures = [
    inventedPicture('p1'),
    inventedPicture('p2', { width: 40, height: 90 }),
    inventedPicture('p3'),
  ];
  const pdf = paperPdf(content, FONTS, { logo: null, dataFile: null, pictures });

  it('is sound, numbered on each page, and ends with its mark', async () => {
    expect(soundness(await pdf)).toMatchObject({ status: 0 });
    const feet = wordsAtFoot(await pdf, 45);
    expect(feet.length).toBeGreaterThan(1);
    feet.forEach((foot, page) => {
      expect(foot).toContain('Job sheet no. LC-2031-0007');
      expect(foot).toContain(`Page ${page + 1} of ${feet.length}`);
    });
    expect(pageTexts(await pdf).at(-1)).toContain('End of job sheet no. LC-2031-0007');
  });

  it('prints every string of its parts', async () => {
    const text = flowingText(await pdf);
    const plain = (words: string) => words.replace(/\s+/g, ' ').trim();
    for (const part of content.parts) {
      if (part.kind === 'section') {
        for (const words of [...part.section.paragraphs, ...part.section.items])
          expect(text).toContain(plain(words));
      } else {
        for (const cells of part.table.rows) for (const cell of cells) expect(text).toContain(plain(cell));
      }
    }
  });

  it('draws the pictures picked, in their proportions, with words for whoever can’t see them', async () => {
    const images = drawnImages(await pdf);
    expect(images).toHaveLength(2);
    expect(images[0]!.width / images[0]!.height).toBeCloseTo(80 / 60, 1);
    expect(images[1]!.width / images[1]!.height).toBeCloseTo(40 / 90, 1);
    for (const { width, height } of images) {
      expect(width).toBeLessThan(260);
      expect(height).toBeLessThan(215);
    }
    const structure = structureText(await pdf);
    expect(structure.match(/^ *Figure/gm)).toHaveLength(2);
    expect(flowingText(await pdf)).toContain('Shim sat under the front cell (invented)');
  });

  it('says so in the place of a picture that can’t be read', async () => {
    const broken = { ...pictures[0]!, bytes: pictures[0]!.bytes.slice(0, -20) };
    const without = await paperPdf(content, FONTS, { logo: null, dataFile: null, pictures: [broken] });
    expect(drawnImages(without)).toHaveLength(0);
    expect(flowingText(without).match(/This picture could not be read\./g)).toHaveLength(2);
    expect(soundness(without).status).toBe(0);
  });

  it('many pictures go on further pages, none below its foot', async () => {
    const notes = Array.from({ length: 9 }, (_, i) => note(`n${i}`, `Picture ${i + 1}`, `q${i}`));
    const many = await paperPdf(whole({ notes }), FONTS, {
      logo: null,
      dataFile: null,
      pictures: notes.map(({ picture }) => inventedPicture(picture!, { width: 50, height: 60 })),
    });
    expect(drawnImages(many)).toHaveLength(9);
    for (const foot of wordsAtFoot(many, 56)) expect(foot).not.toContain('Picture');
  });

  it.each(['A4', 'Letter'] as const)('prints on %s', async (paper) => {
    const printed = await paperPdf(jobSheetContent(wholeInput({ paper })), FONTS);
    expect(soundness(printed).status).toBe(0);
  });

  it('says beforehand what can’t be printed', () => {
    const job = inventedJob({ complaint: 'シャッター' });
    expect(unprintable(jobSheetContent(inventedInput({ job })), FONTS)).toContain('シ');
    expect(unprintable(content, FONTS)).toEqual([]);
  });
});
