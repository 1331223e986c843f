import { describe, expect, it } from 'vitest';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { paperPdf, unprintable } from '../../app/certificate/pdf.ts';
import {
  CARD,
  workingSpeedsCardContent,
  workingSpeedsCardTrouble,
} from '../../app/certificate/working-speeds-card.ts';
import { BUILT_IN_SERIES, LEAF_SERIES, seriesFromLabels } from '../../app/judge/series.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedFigures, inventedFiring, inventedInput, inventedJob } from './invented-job.ts';
import { documentInfo, flowingText, pageTexts, soundness, structureText } from './pdf-tools.ts';
import { deadArrival, wholeFirings, wholeInput } from './whole-job.ts';

/** Straight edges of 2 ms: te(k) = te + τ − τ·2^−k. */
const curves = (firings: readonly CertifiedFiring[]) =>
  firings.map((firing) => {
    const { effective } = firing.figures;
    if (effective === null) return firing;
    const stoppedDown = [1, 2, 3, 4, 5, 6].map((k) => seconds(effective + 2e-3 * (1 - 2 ** -k)));
    return { ...firing, figures: { ...firing.figures, stoppedDown } };
  });

/** Firings as left, by mark and errors in stops. */
function left(errors: Readonly<Record<string, readonly number[]>>): CertifiedFiring[] {
  const times = new Map(LEAF_SERIES.speeds.map(({ label, marked }) => [label, marked ?? 1]));
  return Object.entries(errors)
    .flatMap(([mark, list]) => list.map((error) => ({ mark, time: (times.get(mark) ?? 1) * 2 ** error })))
    .map(({ mark, time }, i) => inventedFiring('as left', mark, i + 1, inventedFigures(time)));
}

const five = (error: number) => [-0.02, -0.01, 0, 0.01, 0.02].map((off) => error + off);
const cardOf = (errors: Readonly<Record<string, readonly number[]>>, job = inventedJob()) =>
  workingSpeedsCardContent(inventedInput({ job, firings: left(errors) }));
const row = (content: ReturnType<typeof cardOf>, mark: string) =>
  content.speeds.rows.find(([label]) => label === mark);

describe('the front of the card', () => {
  it('says for each mark what it gives, how far off it is and what to set', () => {
    const content = cardOf({
      '1/60': five(0),
      '1/125': five(0.35),
      '1/250': five(-0.7),
      '1/500': five(-0.1),
    });
    expect(row(content, '1/60')).toEqual(['1/60', '1/60 s', '0', '1/60']);
    expect(row(content, '1/125')).toEqual(['1/125', '1/98 s', '+1/3', '1/125, close 1/3']);
    expect(row(content, '1/250')).toEqual(['1/250', '1/406 s', '−2/3', '1/250, open 2/3']);
    expect(row(content, '1/500')).toEqual(['1/500', '1/536 s', '0', '1/500']);
    expect(content.speeds.rows).toHaveLength(10);
    expect(content.speeds.notes).toEqual(['Off: + is slow, more exposure. Close, open: the iris, in stops.']);
  });

  it('names why a mark is not to be used, and another one to set', () => {
    const job = inventedJob({ spreadLimit: stops(0.15) });
    const stage = { ...job.stages['as left'], outcomes: { '1/8': 'stuck open' as const } };
    const content = cardOf(
      { '1/4': five(0), '1/250': five(0.1), '1/500': [-0.5, -0.2, 0.1, 0.3, 0.6] },
      { ...job, stages: { ...job.stages, 'as left': stage } },
    );
    expect(row(content, '1/500')).toEqual(['1/500', 'erratic', '–', '1/250, close 1']);
    expect(row(content, '1/8')).toEqual(['1/8', 'stuck open', '–', '1/4, close 1']);
    expect(row(content, '1/15')).toEqual(['1/15', 'not tried', '–', 'none comes near']);
  });

  it('says nothing of what to set where no mark is known', () => {
    expect(row(cardOf({}), '1/60')).toEqual(['1/60', 'not tried', '–', '–']);
  });

  it('flags marks with too few firings, and thirds that are not certain', () => {
    const content = cardOf(
      { '1/60': [0, 0.01, 0.02], '1/125': [-0.6, 0, 0, 0.1, 0.5] },
      inventedJob({ spreadLimit: null }),
    );
    expect(row(content, '1/60')![1]).toBe('1/60 s †');
    expect(row(content, '1/125')![1]).toBe('~ 1/125 s');
    expect(content.speeds.notes[1]).toBe('† fewer than 5 firings. ~ the third is not certain.');
  });

  it('says so where marks stand for the exact series, or firings could not be read', () => {
    const job = inventedJob({ referenceRule: 'exact' });
    const content = workingSpeedsCardContent(
      inventedInput({ job, firings: left({ '1/60': five(0) }), unreadable: 1 }),
    );
    expect(content.speeds.notes[0]).toContain('Marks stand for the exact doubling series.');
    expect(content.speeds.notes).toContain('1 firing could not be read and is left out.');
  });

  it('takes the readings as left alone', () => {
    const content = workingSpeedsCardContent(wholeInput());
    expect(content.read).toBe('As left, 2031-03-05');
    expect(row(content, '1/60')![2]).toBe('0');
    const found = wholeFirings().filter(({ stage }) => stage === 'as found');
    expect(workingSpeedsCardContent(wholeInput({ firings: found })).read).toBe('No readings as left');
  });
});

describe('what it says of whom', () => {
  it('no customer, but the camera, the job and the workshop', () => {
    const content = workingSpeedsCardContent(inventedInput());
    const text = JSON.stringify(content);
    expect(text).not.toContain('Ida Beispiel');
    expect(text).not.toContain('example.org');
    expect(text).not.toContain('hang in the cold');
    expect(content.camera).toEqual([
      'Folding camera, 6 × 9, “Probe II”',
      'Body no. 1204, Shutter no. 88-301',
    ]);
    expect(content.origin).toEqual([
      'Musterwerkstatt Blendenstern, Erfundene Gasse 7',
      'Job J-0042, card of 2031-03-06',
      'Working speeds card no. LC-2031-0007',
    ]);
    expect(content.pageNotice).toBe('Invented data');
  });

  it('a workshop without a name leaves no empty line', () => {
    const workshop = { name: '', address: '', signatory: '', logo: null };
    expect(workingSpeedsCardContent(inventedInput({ workshop })).origin[0]).toBe(
      'Job J-0042, card of 2031-03-06',
    );
  });

  it('long names are cut where they can be seen to be', () => {
    const job = inventedJob();
    const content = workingSpeedsCardContent(
      inventedInput({ job: { ...job, camera: { ...job.camera, description: 'Kamera '.repeat(20) } } }),
    );
    expect(content.camera[0]).toHaveLength(60);
    expect(content.camera[0]!.endsWith('…')).toBe(true);
  });

  it('refuses a paper without a number or a date', () => {
    expect(() => workingSpeedsCardContent(inventedInput({ certificateNumber: ' ' }))).toThrow(RangeError);
    expect(() => workingSpeedsCardContent(inventedInput({ issued: 'soon' }))).toThrow(/no date of issue/);
  });

  it('is told beforehand that it would hold nothing', () => {
    expect(workingSpeedsCardTrouble(workingSpeedsCardContent(inventedInput()))).toBeNull();
    expect(workingSpeedsCardTrouble(workingSpeedsCardContent(deadArrival()))).toContain(
      'no usable readings as left',
    );
    const bulb = deadArrival({ series: seriesFromLabels('bulb', 'Bulb', ['T', 'B']), bands: {} });
    expect(workingSpeedsCardTrouble(workingSpeedsCardContent(bulb))).toContain('no mark with a time');
  });
});

describe('the back', () => {
  it('holds the stopped-down correction of the marks that it changes', () => {
    const firings = curves(left({ '1/60': five(0), '1/250': five(0), '1/500': five(0) }));
    const { stoppedDown } = workingSpeedsCardContent(inventedInput({ firings }));
    expect(stoppedDown.columns.map(({ head }) => head)).toEqual(['Mark', '−1', '−2', '−3', '−4', '−5', '−6']);
    expect(stoppedDown.rows).toEqual([
      ['1/250', '+1/3', '+1/3', '+2/3', '+2/3', '+2/3', '+2/3'],
      ['1/500', '+2/3', '+2/3', '+1', '+1', '+1', '+1'],
    ]);
    expect(stoppedDown.notes[0]).toContain('as it was read (wide open)');
    expect(stoppedDown.notes[0]).toContain('An upper estimate.');
  });

  it('says why there is none', () => {
    const job = inventedJob({ profile: { ...inventedJob().profile, fromCentre: false } });
    const firings = curves(left({ '1/500': five(0) }));
    const note = (content: ReturnType<typeof cardOf>) => [
      content.stoppedDown.rows.length,
      content.stoppedDown.notes[0],
    ];
    expect(note(workingSpeedsCardContent(inventedInput({ job, firings })))).toEqual([
      0,
      expect.stringContaining('does not uncover the lens from its centre'),
    ]);
    expect(note(cardOf({ '1/500': five(0) }))).toEqual([0, expect.stringContaining('no light curves')]);
    const slow = curves(left({ '1': five(0) }));
    expect(note(workingSpeedsCardContent(inventedInput({ firings: slow })))).toEqual([
      0,
      expect.stringContaining('every mark stays within a sixth of a stop'),
    ]);
  });
});

describe('the card as a PDF', () => {
  const input = inventedInput({
    firings: curves(left({ '1/60': five(0), '1/250': five(0.35), '1/500': five(0.4) })),
  });
  const content = workingSpeedsCardContent(input);

  it('prints all of its content on one page, and is sound', async () => {
    const pdf = await paperPdf(content, FONTS);
    expect(soundness(pdf)).toMatchObject({ status: 0 });
    expect(pageTexts(pdf)).toHaveLength(1);
    const text = flowingText(pdf);
    for (const cells of [...content.speeds.rows, ...content.stoppedDown.rows]) {
      expect(text).toContain(cells.join(' '));
    }
    for (const line of [...content.camera, content.read, ...content.origin, content.instructions]) {
      expect(text).toContain(line);
    }
    for (const note of [...content.speeds.notes, ...content.stoppedDown.notes]) {
      expect(text).toContain(note);
    }
    expect(text).not.toContain('Ida Beispiel');
  });

  it.each(['A4', 'Letter'] as const)('two sides of 86 × 54 mm fit on %s beside each other', async (paper) => {
    const pdf = await paperPdf({ ...content, paper }, FONTS);
    const [, width] = /Page size: +([\d.]+) x/.exec(documentInfo(pdf))!;
    expect((2 * CARD.width * 72) / 25.4).toBeLessThan(Number(width) - 2 * 36);
  });

  it('is tagged: headings, tables with heads, language', async () => {
    const structure = structureText(await paperPdf(content, FONTS));
    expect(structure.match(/^ *H1/gm)).toHaveLength(2);
    expect(structure.match(/^ *Table/gm)).toHaveLength(2);
    expect(structure.match(/^ *TH/gm)!.length).toBe(4 + 10 + 7 + 2);
  });

  it('the same content gives the same bytes', async () => {
    expect(await paperPdf(content, FONTS)).toEqual(await paperPdf(content, FONTS));
  });

  it('goes on a second card where one has no room for all marks', async () => {
    const labels = Array.from({ length: 24 }, (_, i) => `1/${i + 2}`);
    const job = inventedJob({ series: seriesFromLabels('many', 'Many', labels), bands: {} });
    const many = workingSpeedsCardContent(inventedInput({ job, firings: [] }));
    const pdf = await paperPdf(many, FONTS);
    const text = flowingText(pdf);
    expect(text).toContain('(1 of 2)');
    expect(text).toContain('(2 of 2)');
    for (const label of labels) expect(text).toContain(`${label} not tried –`);
    expect(pageTexts(pdf)).toHaveLength(1);
    expect(soundness(pdf).status).toBe(0);
  });

  it('thirteen marks, from 4 s to 1/1000, stay on one card', async () => {
    const doubling = BUILT_IN_SERIES.find(({ id }) => id === 'doubling')!;
    const job = inventedJob({ series: doubling, bands: {} });
    const pdf = await paperPdf(workingSpeedsCardContent(inventedInput({ job, firings: [] })), FONTS);
    expect(flowingText(pdf)).not.toContain('of 2)');
  });

  it('many more than that go on further pages', async () => {
    const labels = Array.from({ length: 70 }, (_, i) => `1/${i + 2}`);
    const job = inventedJob({ series: seriesFromLabels('many', 'Many', labels), bands: {} });
    const pdf = await paperPdf(workingSpeedsCardContent(inventedInput({ job, firings: [] })), FONTS);
    expect(pageTexts(pdf).length).toBeGreaterThan(1);
    const text = flowingText(pdf);
    for (const label of labels) expect(text).toContain(`${label} not tried –`);
  });

  it('prints Greek, Cyrillic and Vietnamese, and says beforehand what it can’t', async () => {
    const job = inventedJob();
    const named = (description: string) =>
      workingSpeedsCardContent(inventedInput({ job: { ...job, camera: { ...job.camera, description } } }));
    const written = named('Κάμερα, Камера, Máy ảnh');
    expect(unprintable(written, FONTS)).toEqual([]);
    expect(flowingText(await paperPdf(written, FONTS))).toContain('Κάμερα, Камера, Máy ảnh');
    const other = named('カメラ');
    expect(unprintable(other, FONTS)).toEqual(['カ', 'メ', 'ラ']);
    expect(flowingText(await paperPdf(other, FONTS))).toContain('An open square (□) stands for a character');
  });
});
