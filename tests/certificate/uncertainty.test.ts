import { describe, expect, it } from 'vitest';
import { budgetLineRows, budgetRows, budgetTotals } from '../../app/certificate/budget-rows.ts';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import { errorText, expandedText, sizeText } from '../../app/certificate/stops-text.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import type { Job } from '../../app/record/job.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { atErrors, row, section } from './content-parts.ts';
import { inventedInput, inventedJob } from './invented-job.ts';

describe('uncertainty and decision on a certificate', () => {
  const stated = {
    light: 'broad and even',
    sensor: 'at the film plane',
    bandwidthHz: null,
    note: '',
  } as const;
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
    const one = { ...inventedJob().leastFirings, 'as found': 1 };
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
