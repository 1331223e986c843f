import { describe, expect, it } from 'vitest';
import { budgetLineRows, budgetRows, budgetTotals } from '../../app/certificate/budget-rows.ts';
import type { CertificateContent, CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { stageFindings } from '../../app/certificate/stage-findings.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import { errorText, expandedText, sizeText } from '../../app/certificate/stops-text.ts';
import type { IrisCheckResult } from '../../app/judge/iris-check-result.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import type { Job } from '../../app/record/job.ts';
import { seconds, stops, ticks } from '../../firmware-protocol/units.ts';
import {
  inventedFigures,
  inventedFiring,
  inventedFirings,
  inventedInput,
  inventedJob,
} from './invented-job.ts';

const row = (content: CertificateContent, mark: string) => content.rows.find((r) => r.mark === mark)!;
const section = (content: CertificateContent, heading: string) =>
  content.sections.find((s) => s.heading === heading)!;

/** What stands as found in a line of the comparison of instruments. */
function instrumentWords(firings: readonly CertifiedFiring[]) {
  const { comparisons } = certificateContent(inventedInput({ firings }));
  const instrument = comparisons.find(({ heading }) => heading === 'Instrument')!;
  return (label: string) => instrument.rows.find((r) => r.label === label)!.stages['as found'];
}

describe('the content of a certificate', () => {
  it('is frozen to its depth and the same for the same input', () => {
    const content = certificateContent(inventedInput());
    const unfrozen: unknown[] = [];
    const look = (value: unknown): void => {
      if (typeof value !== 'object' || value === null) return;
      if (!Object.isFrozen(value)) unfrozen.push(value);
      Object.values(value).forEach(look);
    };
    look(content);
    expect(unfrozen).toEqual([]);
    expect(certificateContent(inventedInput())).toEqual(content);
  });

  it('computes mean, error and spread of a mark from its firings', () => {
    // By hand: 8, 8 and 9 ms against 1/125 s. log2: 0, 0, 0.169925; mean 0.056642; SD 0.098106. Combined
    // with linearity (0.0042) and geometry (0.0088) 0.098106 / √3 = 0.0566 gives 0.0575, with 2.1 degrees of
    // freedom, cut to 2: Student's t is 4.3027 and U 0.247.
    const firings = [8, 8, 9].map((ms, i) =>
      inventedFiring('as found', '1/125', i + 1, inventedFigures(ms / 1000)),
    );
    const content = certificateContent(inventedInput({ firings }));
    const figures = row(content, '1/125').stages['as found'];
    expect(figures).toMatchObject({
      n: '3',
      error: '+0.06',
      uncertainty: '±0.25',
      spread: '0.098',
      repeats: 'steady',
      verdict: 'within',
      beyond: false,
    });
    // 8 · 2^0.056642 = 8.3203 ms, 1/120.19 s.
    expect(figures.mean).toBe('8.32 ms');
    expect(figures.fraction).toBe('1/120 s');
    expect(row(content, '1/125')).toMatchObject({ reference: '8.00 ms', referenceFraction: '1/125 s' });
    expect(row(content, '1/125').band).toBe('±1/3 stop');
  });

  it('prints outcomes in place of readings and dashes for figures it does not have', () => {
    const content = certificateContent(inventedInput());
    expect(row(content, '1').stages['as found']).toEqual({
      n: '0',
      mean: '–',
      fraction: '–',
      error: '–',
      uncertainty: '–',
      spread: '–',
      repeats: '',
      verdict: 'did not fire',
      conformity: '–',
      beyond: true,
    });
    expect(row(content, 'B').stages['as left'].verdict).toBe('not tried');
    expect(content.chart.marks.find((m) => m.mark === '1')!.notes['as found']).toBe('did not fire');
  });

  it('compares with the exact series when the job says so, and says which', () => {
    const content = certificateContent(inventedInput({ job: inventedJob({ referenceRule: 'exact' }) }));
    expect(row(content, '1/60')).toMatchObject({ reference: '15.6 ms', referenceFraction: '1/64 s' });
    expect(section(content, 'Decision rule').paragraphs.join(' ')).toContain('exact doubling series');
    const marked = certificateContent(inventedInput());
    expect(section(marked, 'Decision rule').paragraphs.join(' ')).toContain('the time as engraved');
  });

  it('lists marks by verdict for the customer, the later stage first', () => {
    const { paragraphs } = certificateContent(inventedInput()).result;
    expect(paragraphs[0]).toBe(
      'As left: 10 of 10 marked speeds within their band. Repeating: 10 of 10 are steady.',
    );
    expect(paragraphs[1]).toMatch(
      /^As found: 3 of 10 .* Did not fire: 1 s\. Slow: .*1\/500 \(0\.78 stop slow\)\. Repeating: 6 of 9 are steady\. Erratic: 1\/2 \(spread 0\.168 stop\), 1\/4 /,
    );
  });

  it('says so when a stage was not read', () => {
    const job = inventedJob();
    const untouched = { ...job.stages['as left'], outcomes: {} };
    const content = certificateContent(
      inventedInput({
        job: { ...job, stages: { ...job.stages, 'as left': untouched } },
        firings: inventedFirings(LEAF_SERIES).filter((firing) => firing.stage === 'as found'),
      }),
    );
    expect(content.result.paragraphs[0]).toBe('As left: no readings were taken.');
    expect(row(content, '1/60').stages['as left']).toMatchObject({ n: '–', verdict: '–', beyond: false });
    expect(content.comparisons[0]!.notes).toEqual([]);
  });

  it('names what differs between the states of assembly', () => {
    const [state] = certificateContent(inventedInput()).comparisons;
    expect(state!.notes[0]).toContain('(shutter mounted, lens cells, cocked)');
    const input = inventedInput();
    const { assembly } = input.job.stages['as found'];
    const alike = certificateContent({
      ...input,
      firings: input.firings.map((firing) => ({ ...firing, assembly })),
    });
    expect(alike.comparisons[0]!.notes).toEqual([]);
  });

  it('says so when firings of the job could not be read', () => {
    expect(certificateContent(inventedInput({ unreadable: 2 })).notices).toContain(
      '2 firings of this job could not be read and are not in these figures.',
    );
  });

  it('takes the state from the firings, and names every one where they differ', () => {
    const input = inventedInput();
    const [first, ...others] = input.firings;
    const out = { ...first!, assembly: { ...first!.assembly, mounting: 'front plate fastened' as const } };
    const [state] = certificateContent({ ...input, firings: [out, ...others] }).comparisons;
    const mounted = state!.rows.find(({ label }) => label === 'Shutter mounted')!;
    expect(mounted.stages['as found']).toBe('front plate fastened; bare');
    expect(state!.notes[0]).toBe(
      'Readings as found were taken in more than one state (shutter mounted): they are not wholly comparable.',
    );
    // The same states in another order are not unlike.
    const { assembly } = first!;
    const twice = input.firings.map((firing, i) => ({
      ...firing,
      assembly: (i % 2 === 0) === (firing.stage === 'as found') ? assembly : out.assembly,
    }));
    const notes = certificateContent({ ...input, firings: twice }).comparisons[0]!.notes;
    expect(notes).toHaveLength(2);
    expect(notes.join()).not.toContain('unlike');
  });

  it('counts out spoilt and set-aside firings, with their reasons', () => {
    const time = inventedFigures(1 / 60);
    const spoilt = { ...inventedFiring('as found', '1/60', 1, time).firing, spoilt: 'data missing' } as const;
    const firings = [
      inventedFiring('as found', '1/60', 1, time),
      inventedFiring('as found', '1/60', 2, time, { firing: spoilt }),
      inventedFiring('as found', '1/60', 3, time, { firing: spoilt }),
      inventedFiring('as found', '1/60', 4, time, { setAside: 'knocked the stand' }),
      inventedFiring('as left', '1/60', 5, { ...time, remarks: [{ code: 'no open level' }] }),
      inventedFiring('as left', '1/60', 6, time, { movedFrom: ['1/30'] }),
    ];
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found'].n).toBe('1');
    expect(section(content, 'Firings left out or moved')).toMatchObject({
      paragraphs: ['4 of 6 recorded firings were kept but not counted.'],
      items: [
        'As found, 1/60, firings 2, 3: spoilt (data missing).',
        'As found, 1/60, firing 4: set aside (knocked the stand).',
        'As left, 1/60, firing 5: time not valid (never fully open and no reference level).',
        'As left, firing 6: filed under 1/30 first, moved to 1/60.',
      ],
    });
  });

  it('gathers remarks on counted firings by mark', () => {
    const plain = inventedFigures(1 / 250);
    const rebound = inventedFigures(1 / 250, { remarks: [{ code: 'rebound', value: 0.04 }] });
    const firings = [plain, rebound, rebound].map((figures, i) =>
      inventedFiring('as found', '1/250', i + 1, figures),
    );
    const remarks = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(remarks.items).toEqual([
      'As found: light after closing (blade rebound), left out of the times: 1/250 (2 of 3).',
    ]);
  });

  it('judges the open time of a board that times edges, and says so', () => {
    const figures = inventedFigures(0, {
      effective: null,
      total: inventedFigures(1 / 60 / 1.2).total,
      remarks: [{ code: 'open time only' }],
    });
    const firings = [1, 2, 3].map((ordinal) => inventedFiring('as found', '1/60', ordinal, figures));
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found']).toMatchObject({ n: '3', error: '0.000' });
    expect(section(content, 'Method').paragraphs[0]).toMatch(/^Each time is an open time/);
  });

  it('flags readings of the practice bench, all of them or some', () => {
    const firings = inventedFirings(LEAF_SERIES).map((firing) => ({
      ...firing,
      board: { ...firing.board, practice: true },
    }));
    const job = inventedJob({ invented: false });
    const all = certificateContent(inventedInput({ job, firings }));
    expect(all.notices).toEqual(['Practice bench: these readings are of a simulated shutter.']);
    expect(all.pageNotice).toBe('Practice bench: simulated shutter');
    const some = certificateContent(
      inventedInput({ job, firings: [...firings.slice(1), ...inventedFirings(LEAF_SERIES).slice(0, 1)] }),
    );
    expect(some.notices[0]).toContain('some of these readings');
    const none = certificateContent(inventedInput({ job }));
    expect(none.notices).toEqual([]);
    expect(none.pageNotice).toBe('');
  });

  it('identifies every board that took part', () => {
    const [first, ...others] = inventedFirings(LEAF_SERIES);
    const other = { ...first!, board: { ...first!.board, serial: 'LC-8', image: '00FF00FF' } };
    const said = instrumentWords([other, ...others]);
    expect(said('Board serial number')).toBe('LC-8; LC-7');
    expect(said('Firmware image, CRC-32')).toBe('00FF00FF; 1A2B3C4D');
  });

  it('leaves out firings of other jobs', () => {
    const firings = inventedFirings(LEAF_SERIES);
    const strange = { ...inventedFiring('as left', '1/60', 999, inventedFigures(1)), jobId: 'job-2' };
    expect(certificateContent(inventedInput({ firings: [...firings, strange] }))).toEqual(
      certificateContent(inventedInput({ firings })),
    );
  });

  it('lists what was not tested, marks that nobody touched among them', () => {
    const firings = inventedFirings(LEAF_SERIES).filter((firing) => firing.mark !== '1/15');
    const content = certificateContent(inventedInput({ firings }));
    const { items } = section(content, 'What was not tested');
    expect(items.join(' ')).toMatch(/Flash contact.*Self-timer.*Exposure meter/);
    expect(items.at(-1)).toBe('Marks on the speed ring that were not tried: 1/15');
    expect(row(content, '1/15')).toBeUndefined();
    expect(content.result.paragraphs[0]).toContain('Not tried: 1/15.');
  });

  it('prints days in the zone asked for, or as written', () => {
    const job = inventedJob({ received: '2031-03-02T23:30:00Z' });
    const received = (timeZone?: string) =>
      certificateContent(inventedInput(timeZone === undefined ? { job } : { job, timeZone }))
        .particulars.flatMap((group) => group.fields)
        .find((field) => field.label === 'Received')!.lines;
    expect(received()).toEqual(['2031-03-02']);
    expect(received('Europe/Berlin')).toEqual(['2031-03-03']);
    expect(received('America/New_York')).toEqual(['2031-03-02']);
    expect(() => received('Nowhere/Land')).toThrow(RangeError);
  });

  it('refuses an empty number and a date that is none', () => {
    expect(() => certificateContent(inventedInput({ certificateNumber: ' ' }))).toThrow(/needs a number/);
    expect(() => certificateContent(inventedInput({ issued: 'today' }))).toThrow(/no date of issue/);
  });

  it('composes accents and drops control characters', () => {
    const job = inventedJob();
    const content = certificateContent(
      inventedInput({
        job: { ...job, customer: { name: 'Nguye\u0302\u0303n\u0007 \u202eX\ud800', contact: 'a\nb' } },
      }),
    );
    const [name, contact] = content.particulars[0]!.fields;
    expect(name!.lines).toEqual(['Nguy\u1ec5n  X\ufffd']);
    expect(contact!.lines).toEqual(['a', 'b']);
  });
});

/** Firings of one mark as found, by their errors in EV. */
const atErrors = (mark: string, errors: readonly number[], changes: Partial<CertifiedFiring> = {}) => {
  const reference = LEAF_SERIES.speeds.find(({ label }) => label === mark)!.marked!;
  return errors.map((error, i) =>
    inventedFiring('as found', mark, i + 1, inventedFigures(reference * 2 ** error), changes),
  );
};

describe('uncertainty and decision on a certificate', () => {
  const stated = { light: 'broad and even', sensor: 'at the film plane', note: '' } as const;
  const steady = [0.31, 0.32, 0.33];

  it('judges by the rule of the job, and prints what the rule made of it', () => {
    const of = (changes: Parameters<typeof inventedJob>[0], errors = steady) => {
      const job = inventedJob({ bands: {}, ...changes });
      const content = certificateContent(inventedInput({ job, firings: atErrors('1/60', errors) }));
      return { figures: row(content, '1/60').stages['as found'], content };
    };
    const simple = of({ decisionRule: 'simple' });
    expect(simple.figures).toMatchObject({ error: '+0.320', verdict: 'within', beyond: false });
    expect(simple.content.result.paragraphs[1]).toContain('1 of 10 marked speeds within their band.');
    expect(section(simple.content, 'Decision rule').items).toEqual([
      'As left, the results that conform to their bands by this rule: none.',
      'As found, the results that conform to their bands by this rule: 1/60.',
    ]);
    expect(section(simple.content, 'Decision rule').paragraphs[0]).toMatch(/w = 0.*The band is ±1\/3 stop;/);

    // U is about 0.02 EV: 0.32 lies inside +1/3 by less, 0.35 outside by less, and 0.28 inside by more.
    const guarded = of({ decisionRule: 'guard band' });
    expect(guarded.figures).toMatchObject({ verdict: 'conditional pass', beyond: false });
    expect(guarded.content.result.paragraphs[1]).toContain('Conditional pass: 1/60.');
    expect(section(guarded.content, 'Decision rule').items[1]).toMatch(/rule: none\.$/);
    expect(section(guarded.content, 'Decision rule').paragraphs[0]).toMatch(/^Guard band w = U/);
    expect(of({ decisionRule: 'guard band' }, [0.34, 0.35, 0.36]).figures).toMatchObject({
      verdict: 'conditional fail, 0.35 stop slow',
      beyond: true,
    });
    expect(of({ decisionRule: 'guard band' }, [0.27, 0.28, 0.29]).figures.verdict).toBe('within');
    expect(of({ decisionRule: 'guard band' }, [-0.4, 0, 0.4]).figures.verdict).toMatch(
      /^undecided, 3 of at least \d+ firings$/,
    );
  });

  it('prints error and uncertainty to the same decimals, and the chart spans both', () => {
    const content = certificateContent(inventedInput({ firings: atErrors('1/60', [-0.2, 0.1, 0.4]) }));
    const { error, uncertainty, spread } = row(content, '1/60').stages['as found'];
    // Student's t for 2 degrees of freedom: 4.3027 · 0.3 / √3 = 0.745; the other lines are small beside it.
    expect([error, uncertainty, spread]).toEqual(['+0.10', '±0.75', '0.30']);
    const { interval } = content.chart.marks.find(({ mark }) => mark === '1/60')!.stages['as found']!;
    expect(interval!.upper).toBeCloseTo(0.1 + 0.745, 2);
    expect(interval!.lower).toBeCloseTo(0.1 - 0.745, 2);
    expect(content.chart.description).toContain('1/60: as found +0.10 ± 0.75 EV');
  });

  it('rounds an uncertainty to two digits, and never down by more than a twentieth', () => {
    // EA-4/02, 6.3 (from memory): not rounded down where that takes off more than 5 %.
    const sizes = [0, 0.0002, 0.0012, 0.0054, 0.0144, 0.0996, 0.44, 1.24, 12.3].map(stops);
    expect(sizes.map(expandedText)).toEqual([
      '0.000',
      '0.001',
      '0.002',
      '0.006',
      '0.014',
      '0.10',
      '0.44',
      '1.2',
      '12',
    ]);
    expect(sizes.map((size) => sizeText(size))).toEqual([
      '0.000',
      '0.001',
      '0.001',
      '0.005',
      '0.014',
      '0.10',
      '0.44',
      '1.2',
      '12',
    ]);
    for (const size of sizes) expect(Number(expandedText(size))).toBeGreaterThanOrEqual(0.95 * size);
    expect(errorText(stops(0.0512), { expanded: stops(0.0996) })).toBe('+0.05');
    expect(errorText(stops(0.0512), { expanded: stops(0.0144) })).toBe('+0.051');
    expect(errorText(stops(-1.26), { expanded: stops(1.24) })).toBe('−1.3');
    const totals = (expanded: number) =>
      budgetTotals({
        lines: [],
        combined: stops(expanded / 2),
        dof: 9,
        k: 2,
        expanded: stops(expanded),
        notStated: [],
      });
    // 2^U − 1 in percent.
    expect([0.0054, 0.017, 0.5, 1.5].map((U) => totals(U).percent)).toEqual(['0.38', '1.2', '41', '> 100']);
  });

  it('says on the first page what U does not hold', () => {
    const setUp = { ...inventedInput().firings[0]!.setUp, seenShare: null };
    const silent = certificateContent(
      inventedInput({ firings: atErrors('1/60', [0.1, 0.11, 0.12], { setUp }) }),
    );
    expect(silent.key).toHaveLength(3);
    expect(silent.key[1]).toMatch(/^Not stated.*not fully in U and P: .*lit and seen \(often the largest/);
    expect(certificateContent(inventedInput()).key).toHaveLength(2);
  });

  it('says so where a verdict may rest on a single firing and no uncertainty', () => {
    const rule = (changes: Partial<Job>) =>
      section(certificateContent(inventedInput({ job: inventedJob(changes) })), 'Decision rule')
        .paragraphs[0];
    const one = { 'as found': 1, 'as left': 5 };
    expect(rule({ leastFirings: one })).toMatch(
      /below 1 firing as found and 5 as left\. For a single firing/,
    );
    expect(rule({ leastFirings: one, decisionRule: 'guard band' })).not.toContain('single firing');
    expect(rule({})).not.toContain('single firing');
  });

  it('prints a limit on the spread as it is applied', () => {
    const content = certificateContent(inventedInput({ job: inventedJob({ spreadLimit: stops(0.125) }) }));
    expect(section(content, 'Decision rule').paragraphs[1]).toContain('not above 0.125 stop');
    expect(content.tables[0]!.notes[0]).toContain('the limit of 0.125 stop');
  });

  it('states no uncertainty for one firing, and says so', () => {
    const content = certificateContent(inventedInput({ firings: atErrors('1/60', [0.1]) }));
    expect(row(content, '1/60').stages['as found']).toMatchObject({
      error: '+0.10',
      uncertainty: '–',
      spread: '–',
      conformity: '–',
    });
    expect(content.chart.marks.find(({ mark }) => mark === '1/60')!.stages['as found']).toMatchObject({
      interval: null,
    });
  });

  it('prints bands in the unit of the job', () => {
    const [lower, upper] = [stops(Math.log2(0.8)), stops(Math.log2(1.2))];
    const job = inventedJob({ bandUnit: '%', band: { lower, upper }, bands: {} });
    const content = certificateContent(inventedInput({ job }));
    expect(row(content, '1/60').band).toBe('±20 %');
    expect(section(content, 'Decision rule').paragraphs[0]).toMatch(/The band is ±20 %;.*converted to EV/);
  });

  it('says nothing of repeating where no limit was set', () => {
    const content = certificateContent(inventedInput({ job: inventedJob({ spreadLimit: null }) }));
    expect(row(content, '1/60').stages['as left'].repeats).toBe('');
    expect(content.result.paragraphs.join(' ')).not.toContain('Repeating');
    expect(section(content, 'Decision rule').paragraphs[1]).toContain('No limit was set for the spread');
  });

  it('sums up the budget of each mark as left, with the origin of each line once', () => {
    const content = certificateContent(inventedInput());
    const [spread, budget] = content.tables;
    expect(spread!.heading).toBe('Spread of the firings as left');
    expect(budget!.heading).toBe('Uncertainty budget of the mean errors as left');
    expect(budget!.rows.map(([mark]) => mark)).toEqual(
      LEAF_SERIES.speeds.filter(({ marked }) => marked !== null).map(({ label }) => label),
    );
    const heads = budget!.columns.map(({ head }) => head);
    const figure = (cells: readonly string[], head: string) => Number(cells[heads.indexOf(head)]);
    for (const cells of budget!.rows) {
      const lines = ['Repeatability', 'Clock', 'Linearity', 'Geometry'].map((head) => figure(cells, head));
      expect(figure(cells, 'Combined u')).toBeCloseTo(Math.hypot(...lines), 3);
      const expanded = figure(cells, 'k') * figure(cells, 'Combined u');
      expect(Math.abs(figure(cells, 'U, EV') - expanded)).toBeLessThan(0.0009);
      expect(figure(cells, 'U, % of time')).toBeCloseTo(100 * (2 ** expanded - 1), 0);
    }
    const origins = ['Repeatability', 'Clock check', "computer's clock", 'Warming', 'Linearity', 'Geometry'];
    for (const words of origins) {
      expect(
        budget!.notes.filter((note) => note.includes(`${words} (`) || note.startsWith(words)),
      ).toHaveLength(1);
    }
    expect(budget!.notes.join(' ')).not.toContain('Not stated');
    // The table of the mark at which it is largest: 5 firings, so 4 degrees of freedom and √5.
    expect(budget!.notes.find((note) => note.startsWith('Repeatability'))).toMatch(
      /at 1\/\d+, where it is largest.*√5/,
    );
  });

  it('has coverage factor and budget for each uncertainty it states, those as found too', () => {
    const input = inventedInput();
    const content = certificateContent(input);
    expect(content.tables.map(({ heading }) => heading)).toEqual([
      'Spread of the firings as left',
      'Uncertainty budget of the mean errors as left',
      'Uncertainty budget of the mean errors as found',
    ]);
    const [, left, found] = content.tables;
    for (const [stage, table] of [
      ['as left', left!],
      ['as found', found!],
    ] as const) {
      const stated = content.rows.filter(({ stages }) => stages[stage].uncertainty.startsWith('±'));
      expect(stated.length).toBeGreaterThan(5);
      expect(table.rows.map((cells) => [cells[0], `±${cells[10]}`])).toEqual(
        stated.map(({ mark, stages }) => [mark, stages[stage].uncertainty]),
      );
    }
    // What the table above says already is not said again.
    expect(found!.notes.length).toBeGreaterThan(0);
    expect(left!.notes.filter((note) => found!.notes.includes(note))).toEqual([]);
  });

  it('falls back to the budget as found where nothing was read as left', () => {
    const job = inventedJob();
    const untouched = { ...job.stages['as left'], outcomes: {} };
    const content = certificateContent(
      inventedInput({
        job: { ...job, stages: { ...job.stages, 'as left': untouched } },
        firings: atErrors('1/60', steady),
      }),
    );
    expect(content.tables.map(({ heading }) => heading)).toEqual([
      'Spread of the firings as found',
      'Uncertainty budget of the mean errors as found',
    ]);
    expect(content.tables[1]!.rows.map(([mark]) => mark)).toEqual(['1/60']);
  });

  it('says what is not stated, at which marks', () => {
    const silent = { ...stated, seenShare: null, linearity: null };
    const half = { ...stated, seenShare: 1, linearity: null };
    const notes = (firings: readonly CertifiedFiring[]) =>
      certificateContent(
        inventedInput({
          firings: firings.map((firing) => ({ ...firing, stage: 'as left' as const })),
        }),
      ).tables[1]!.notes.filter((note) => note.includes('Not stated'));
    expect(notes(atErrors('1/60', steady, { setUp: silent }))).toEqual([
      expect.stringMatching(/^Not stated, and therefore not in U: .*lit and seen.*straight/),
    ]);
    const mixed = notes([
      ...atErrors('1/60', steady, { setUp: silent }),
      ...atErrors('1/125', steady, { setUp: half }),
    ]);
    expect(mixed).toHaveLength(2);
    expect(mixed[0]).toMatch(/^1\/60: Not stated.*lit and seen/);
    expect(mixed[1]).toMatch(/^1\/125: Not stated(?!.*lit and seen).*straight/);
  });

  it('gives screens the same figures: rows of a stage, and lines of a mark', () => {
    const input = inventedInput();
    const result = stageResult(input.job, input.firings, 'as left');
    const table = certificateContent(input).tables[1]!;
    expect(budgetRows(result).map(({ mark, combined, k }) => [mark, combined, k])).toEqual(
      table.rows.map((cells) => [cells[0], cells[7], cells[9]]),
    );
    const { budget } = result.marks.find(({ speed }) => speed.label === '1/60')!;
    const lines = budgetLineRows(budget!);
    expect(lines).toHaveLength(budget!.lines.length);
    expect(lines[0]).toMatchObject({ source: 'Repeatability of the firings', type: 'A', dof: '4' });
    expect(lines.find(({ source }) => source.startsWith('Linearity'))).toMatchObject({
      type: 'B',
      distribution: '±0.0072 EV, rectangular',
      // 0.005 / ln 2 / √3
      u: '0.0042',
      dof: '∞',
    });
  });
});

describe('the instrument on a certificate', () => {
  const firings = inventedFirings(LEAF_SERIES);

  it('tells of the clock: how long compared, its error, its uncertainty, or that it was not', () => {
    const words = instrumentWords(firings)('Clock of the board');
    expect(words).toBe(
      "compared with the computer's over 61 to 87 s; its error of +4321.2 ppm taken out, standard uncertainty up to 1.4 ppm",
    );
    const unchecked = firings.map((firing) => ({ ...firing, clockCorrection: null }));
    const none = 'nominal, no clock check: the limits of a ceramic resonator apply';
    expect(instrumentWords(unchecked)('Clock of the board')).toBe(none);
    const partly = firings.map((firing, i) => (i < 2 ? unchecked[i]! : firing));
    expect(instrumentWords(partly)('Clock of the board')).toMatch(
      new RegExp(`ppm; for 2 of 27 firings ${none}$`),
    );
  });

  it('lists the latest check of each kind at each stage, and what was not made', () => {
    const { items } = section(certificateContent(inventedInput()), 'Checks of the instrument');
    expect(items).toEqual([
      'As found, light check, 2031-03-03 09:50: passed; dark 12.1 steps, noise 0.60, open 201.4 ± 0.1 above dark (k = 2), 16 % of the range left, no flicker seen, drift not known.',
      expect.stringMatching(
        /^As found, reference light, 2031-03-03 09:55: passed; .*0\.500 ms −5\.2 µs, .*8\.00 ms 0\.0 µs, .*limit ±\(5 µs \+ 0\.2 %\) \(tests .* not the clock.*\)\.$/,
      ),
      expect.stringMatching(
        /^As found, wide open against one stop down, 2031-03-03 09:58: whole opening used; 1\/500, .*\+0\.55 EV \(95 %: \+0\.50 to \+0\.60\), \+0\.58 expected/,
      ),
      'As left, not made: light check; reference light; wide open against one stop down.',
    ]);
    const { checks, ...job } = inventedJob();
    const zoned = inventedInput({
      job: { ...job, checks: checks.slice(0, 1) },
      timeZone: 'America/New_York',
    });
    expect(section(certificateContent(zoned), 'Checks of the instrument').items[0]).toBe(
      'As found, light check, 2031-03-03 03:40: problem (flicker); dark 11.9 steps, noise 0.62, open 199.3 ± 0.1 above dark (k = 2), 17 % of the range left, flicker ±2.4 % at 100 Hz, drift −0.12 ± 0.06 % a minute (k = 2).',
    );
  });

  it('prints the open level of a light check to the place of its uncertainty', () => {
    const [light, ...others] = inventedJob().checks;
    if (light?.kind !== 'light') throw new Error('The invented job begins with a light check.');
    const words = (heightUncertainty: number) => {
      const checks = [{ ...light, result: { ...light.result, heightUncertainty } }, ...others.slice(2)];
      const content = certificateContent(inventedInput({ job: inventedJob({ checks }) }));
      return /open [^(]*/.exec(section(content, 'Checks of the instrument').items[0]!)?.[0];
    };
    expect(words(0.05)).toBe('open 199.3 ± 0.1 above dark ');
    expect(words(0.012)).toBe('open 199.30 ± 0.02 above dark ');
    expect(words(0.001)).toBe('open 199.30 ± 0.01 above dark ');
  });

  it('is plain about a job that nothing was recorded of', () => {
    const job = inventedJob();
    const stages = {
      'as found': { ...job.stages['as found'], outcomes: {} },
      'as left': { ...job.stages['as left'], outcomes: {} },
    };
    const content = certificateContent(inventedInput({ job: { ...job, stages }, firings: [] }));
    expect(section(content, 'Firings left out or moved').paragraphs).toEqual(['No firing was recorded.']);
    expect(section(content, 'Checks of the instrument').paragraphs).toEqual(['None.']);
    expect(content.rows).toEqual([]);
    const one = certificateContent(inventedInput({ firings: inventedFirings(job.series).slice(0, 1) }));
    expect(section(one, 'Firings left out or moved').paragraphs[0]).toMatch(
      /^The one recorded firing was counted/,
    );
  });

  it('does not pass over a check that contradicts what is stated of the opening', () => {
    const { checks } = inventedJob();
    const items = (outcome: IrisCheckResult['outcome'], seenShare: number) => {
      const job = inventedJob({
        checks: checks.flatMap((check) =>
          check.kind === 'iris' ? [{ ...check, result: { ...check.result, outcome } }] : [],
        ),
      });
      const read = firings.map((firing) => ({ ...firing, setUp: { ...firing.setUp, seenShare } }));
      return section(
        certificateContent(inventedInput({ job, firings: read })),
        'Checks of the instrument',
      ).items.filter((item) => item.includes('contradicts'));
    };
    expect(items('part of the opening used', 1)).toEqual([
      expect.stringMatching(/^As found: this contradicts .* Times may read too long by more than U/),
    ]);
    expect(items('part of the opening used', 0.9)).toEqual([]);
    expect(items('whole opening used', 1)).toEqual([]);
  });

  it('sets light and sensor as found beside as left, and names what differs', () => {
    const comparison = (all: readonly CertifiedFiring[]) =>
      certificateContent(inventedInput({ firings: all })).comparisons.find(
        ({ heading }) => heading === 'Light and sensor',
      )!;
    expect(comparison(firings).notes).toEqual([]);
    const seen = comparison(firings).rows.find(({ label }) => label === 'Opening lit and seen')!;
    expect(seen.stages['as left']).toBe('at least 95 % of its area, as stated');
    const moved = firings.map((firing) =>
      firing.stage === 'as found'
        ? firing
        : {
            ...firing,
            setUp: {
              ...firing.setUp,
              sensor: 'close to the shutter' as const,
              seenShare: null,
              linearity: null,
            },
          },
    );
    const { notes, rows } = comparison(moved);
    expect(notes).toHaveLength(1);
    expect(notes[0]).toContain('(sensor, opening lit and seen)');
    expect(rows.find(({ label }) => label === 'Linearity')!.stages).toEqual({
      'as found': '±0.5 % of the time, as stated',
      'as left': 'not stated',
    });
  });
});

describe('deviations on a certificate', () => {
  it('keeps the first firing after a rest apart, and shows it', () => {
    const [first, second, third] = atErrors('1/60', [0.5, 0.1, 0.1]);
    const firings = [
      { ...first!, rest: 1500 },
      { ...second!, rest: 5 },
      { ...third!, rest: 7200, exercised: true },
    ];
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found']).toMatchObject({ n: '2' });
    expect(section(content, 'Firings left out or moved').items).toEqual([
      'As found, 1/60, firing 1: first after a rest of 25 min, kept apart from the mean: 23.6 ms, +0.50 EV.',
    ]);
    expect(section(content, 'Remarks on the readings').items).toEqual([
      'As found: first after a rest, but counted, since the shutter was exercised before: 1/60 (1 of 2).',
    ]);
  });

  it('marks a firing that lies suspiciously far out, and counts it', () => {
    const content = certificateContent(
      inventedInput({ firings: atErrors('1/60', [0, 0.01, -0.01, 0.005, 0.9]) }),
    );
    expect(row(content, '1/60').stages['as found'].n).toBe('5');
    expect(section(content, 'Remarks on the readings').items.at(-1)).toBe(
      "As found, 1/60: the slowest of 5 firings (31.1 ms) lies suspiciously far from the others (Grubbs' test, level 0.05); it is counted.",
    );
  });

  it('tells where a reference level came from', () => {
    const remarks = [{ code: 'reference level used' as const }];
    const used = (origin: 'slow firing' | 'light check', ordinal: number) =>
      inventedFiring('as found', '1/500', ordinal, inventedFigures(1 / 500, { remarks }), {
        reference: { height: 200, uncertainty: 0.1, firstTick: ticks(1), origin },
      });
    const firings = [used('slow firing', 1), used('light check', 2), used('light check', 3)];
    const { items } = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(items).toEqual([
      expect.stringMatching(/^As found: open level taken from a slower firing, .*: 1\/500 \(1 of 3\)\.$/),
      expect.stringMatching(/^As found: open level taken from a light check, .*: 1\/500 \(2 of 3\)\.$/),
    ]);
  });

  it('tells of flicker and drift of the light', () => {
    const figures = inventedFigures(1, {
      remarks: [
        { code: 'flicker 100 Hz', value: 0.03 },
        { code: 'light drifts', value: -0.02 },
      ],
    });
    const firings = [inventedFiring('as found', '1', 1, figures)];
    const { items } = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(items).toEqual([
      'As found: the light flickered at 100 Hz: 1 s (1 of 1).',
      'As found: the light changed while the shutter stood open: 1 s (1 of 1).',
    ]);
  });
});

describe('what the readings suggest, on a certificate', () => {
  const of = (firings: readonly CertifiedFiring[]) =>
    section(certificateContent(inventedInput({ firings })), 'What the readings suggest');

  it('prints each finding with its evidence, and makes no more of it than a suggestion', () => {
    const input = inventedInput();
    const { job } = input;
    const findings = stageFindings(job.profile, stageResult(job, input.firings, 'as found'));
    const { paragraphs, items } = of(input.firings);
    expect(findings.length).toBeGreaterThan(0);
    expect(items).toHaveLength(findings.length);
    findings.forEach(({ seen, suggests, effect, threshold, method }, i) => {
      for (const words of ['As found: ', seen, suggests, effect, `counted from ${threshold}`, method])
        expect(items[i]).toContain(words);
    });
    expect(items.join(' ')).toMatch(/p [<=] 0\.0\d+/);
    expect(paragraphs[0]).toContain('none of them certain, and no part of the results');
  });

  it('says so when there is none', () => {
    expect(of(atErrors('1/60', [0, 0.01, 0.02]))).toMatchObject({
      items: [],
      paragraphs: [expect.stringMatching(/^Nothing:/)],
    });
  });
});

describe('light after closing, on a certificate', () => {
  const resultWith = (added: number) =>
    certificateContent(
      inventedInput({
        firings: inventedInput().firings.map((firing) =>
          firing.mark === '1/250' && firing.figures.effective !== null
            ? {
                ...firing,
                figures: {
                  ...firing.figures,
                  effectiveWithRebound: seconds(firing.figures.effective * 2 ** added),
                },
              }
            : firing,
        ),
      }),
    ).result.paragraphs.join(' ');

  it('stands beside the verdicts that leave it out, from a tenth of a stop on', () => {
    expect(resultWith(0.89)).toContain('Light after closing adds to the exposure at 1/250 (+0.89 EV)');
    expect(resultWith(0.09)).not.toContain('Light after closing');
  });
});
