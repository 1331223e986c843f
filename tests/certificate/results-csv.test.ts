import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { firingsCsv, resultsCsv } from '../../app/certificate/results-csv.ts';
import { type CsvCell, csvText } from '../../app/certificate/results-csv-cells.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import type { Job } from '../../app/record/job.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { inventedFigures, inventedFiring, inventedFirings, inventedJob } from './invented-job.ts';

/** The grammar of RFC 4180, section 2, with the separator as a parameter. */
function parseCsv(text: string, separator: string): string[][] {
  const lines: string[][] = [];
  let [line, at]: [string[], number] = [[], 0];
  while (at < text.length) {
    let field = '';
    if (text[at] === '"') {
      for (at += 1; ; at += 1) {
        if (at >= text.length) throw new Error('A quoted field has no end.');
        if (text[at] !== '"') field += text[at];
        else if (text[at + 1] === '"') field += text[++at];
        else break;
      }
      at += 1;
    } else {
      while (at < text.length && text[at] !== separator && text[at] !== '\r') {
        if (text[at] === '"' || text[at] === '\n') throw new Error('A field should be quoted.');
        field += text[at++];
      }
    }
    line.push(field);
    if (text[at] === separator) at += 1;
    else if (text.startsWith('\r\n', at)) {
      lines.push(line);
      [line, at] = [[], at + 2];
    } else throw new Error('A field has no end.');
  }
  return lines;
}

const MARK = '\uFEFF';

/** Lines as objects by the names in the first one. */
function records(csv: string, separator = ','): Record<string, string>[] {
  expect(csv.startsWith(MARK)).toBe(true);
  const [names, ...lines] = parseCsv(csv.slice(MARK.length), separator);
  expect(new Set(names).size).toBe(names!.length);
  return lines.map((cells) => {
    expect(cells).toHaveLength(names!.length);
    return Object.fromEntries(names!.map((name, i) => [name, cells[i]!]));
  });
}

const job = inventedJob();
const firings = inventedFirings(job.series);

describe('results for a spreadsheet', () => {
  it('has a line for each mark at each stage with anything in it', () => {
    const rows = records(resultsCsv(job, firings, ','));
    expect(rows).toHaveLength(2 * job.series.speeds.length);
    expect([...new Set(rows.map(({ Stage }) => Stage))]).toEqual(['as found', 'as left']);
  });

  it('holds the figures that the certificate rests on', () => {
    const rows = records(resultsCsv(job, firings, ','));
    for (const stage of ['as found', 'as left'] as const) {
      for (const { speed, statistics, budget, judgement } of stageResult(job, firings, stage).marks) {
        const row = rows.find((one) => one.Stage === stage && one.Mark!.replace(' s', '') === speed.label)!;
        expect(row.Counted).toBe(String(statistics.n));
        expect(row.Verdict).toBe(judgement.verdict);
        const same = (text: string, value: number | null) => {
          if (value === null) expect(text).toBe('');
          else expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(Math.abs(value) * 1e-6);
        };
        same(row['Mean (s)']!, statistics.meanTime);
        same(row['Mean error (EV)']!, statistics.meanError);
        same(row['U (EV)']!, budget?.expanded ?? null);
        same(row['Standard deviation (EV)']!, statistics.sd);
      }
    }
  });

  it('says nothing of a stage at which nothing was done, and has a head for a job without firings', () => {
    const [asFound, asLeft] = [job.stages['as found'], job.stages['as left']];
    const stages = {
      ...job.stages,
      'as found': { ...asFound, outcomes: {} },
      'as left': { ...asLeft, outcomes: {} },
    };
    expect(records(resultsCsv({ ...job, stages }, [], ','))).toEqual([]);
    const trial = [inventedFiring('trials', '1/60', 1, inventedFigures(1 / 60))];
    const rows = records(resultsCsv({ ...job, stages }, trial, ','));
    expect(new Set(rows.map(({ Stage }) => Stage))).toEqual(new Set(['trials']));
  });

  it('writes minus signs so that a number stays one, with a point or a comma', () => {
    const fast = [inventedFiring('as left', '1/60', 1, inventedFigures(1 / 90))];
    const error = Math.log2(60 / 90);
    const point = records(resultsCsv(job, fast, ',')).find(({ Counted }) => Counted === '1')!;
    expect(point['Mean error (EV)']).toMatch(/^-0\.\d+$/);
    expect(Number(point['Mean error (EV)'])).toBeCloseTo(error, 6);
    const comma = records(resultsCsv(job, fast, ';'), ';').find(({ Counted }) => Counted === '1')!;
    expect(comma['Mean error (EV)']).toBe(point['Mean error (EV)']!.replace('.', ','));
    const both = records(resultsCsv(job, fast, ',', ',')).find(({ Counted }) => Counted === '1')!;
    expect(both['Mean error (EV)']).toBe(comma['Mean error (EV)']);
    const pointed = records(resultsCsv(job, fast, ';', '.'), ';').find(({ Counted }) => Counted === '1')!;
    expect(pointed['Mean error (EV)']).toBe(point['Mean error (EV)']);
  });

  it('writes marks so that a spreadsheet makes no date or number of them', () => {
    const marks = records(resultsCsv(job, firings, ',')).map(({ Mark }) => Mark);
    expect(marks).toContain('1/60 s');
    expect(marks).toContain('1 s');
    expect(marks).toContain('B');
  });

  it('names neither customer nor complaint', () => {
    const secret: Job = {
      ...job,
      customer: { name: 'Zaphira Q', contact: 'at the quay' },
      complaint: 'sticks',
    };
    const text = resultsCsv(secret, firings, ',') + firingsCsv(secret, firings, ',');
    expect(text).not.toMatch(/Zaphira|quay|sticks/);
  });
});

describe('firings for a spreadsheet', () => {
  it('has a line for each firing in the order of firing, counted or not', () => {
    const aside: CertifiedFiring = { ...firings[3]!, setAside: 'dial stood between; "half" way\nof it' };
    const shuffled = [...firings.with(3, aside)].reverse();
    const rows = records(firingsCsv(job, [...shuffled, { ...firings[0]!, id: 'x', jobId: 'other' }], ','));
    expect(rows.map(({ Firing }) => Number(Firing))).toEqual(firings.map(({ ordinal }) => ordinal));
    expect(rows[3]).toMatchObject({
      Counted: 'no',
      'Why not counted': 'set aside',
      'Set aside because': aside.setAside!,
    });
    expect(rows[0]).toMatchObject({ Counted: 'yes', 'Why not counted': '', 'Set aside because': '' });
  });

  it('gives time, error and contact of each, and empty cells where there is nothing', () => {
    const figures = inventedFigures(0.01, {
      instants: {
        firstLight: seconds(0.05),
        halfOpen: seconds(0.051),
        fullOpen: seconds(0.052),
        closingStart: seconds(0.058),
        halfClosed: seconds(0.059),
        lastLight: seconds(0.06),
      },
      contact: {
        closed: seconds(0.0525),
        closedBefore: false,
        bounces: 0,
        bounceTime: seconds(0),
        parted: null,
        closedTime: seconds(0.01),
        openAtClosure: 1,
        open80: null,
        open90: null,
        closing90: null,
      } as never,
    });
    const [read, unread, bulb] = records(
      firingsCsv(
        job,
        [
          inventedFiring('as found', '1/125', 1, figures),
          inventedFiring(
            'as found',
            '1/125',
            2,
            inventedFigures(0.01, { effective: null, effectiveWithRebound: null }),
          ),
          inventedFiring('as found', 'B', 3, inventedFigures(2)),
        ],
        ',',
      ),
    );
    expect(Number(read!['Error (EV)'])).toBeCloseTo(Math.log2(1.25), 5);
    expect(Number(read!['Contact after first light (s)'])).toBeCloseTo(0.0025, 9);
    expect(unread).toMatchObject({ 'Time (s)': '', 'Error (EV)': '', 'Why not counted': 'no time' });
    expect(bulb).toMatchObject({ 'Time (s)': '2', 'Reference (s)': '', 'Error (EV)': '' });
  });
});

describe('cells', () => {
  it('defuse text that a spreadsheet would take for a formula, and leave other text alone', () => {
    const cell = (text: string) => parseCsv(csvText([[text]], ';', ','), ';')[0]![0]!;
    for (const text of [
      '=1+1',
      '+1',
      '-1',
      '@SUM(A1)',
      '\t=1',
      '\r=1',
      ' =1',
      '\n+1',
      '＝1',
      '＋1',
      '－1',
      '＠a',
      '−1',
      '|cmd',
    ]) {
      expect(cell(text)).toBe(`'${text}`);
    }
    for (const text of ['', 'f/8', '1/60', 'a=b', 'no. 7-3', "'quoted'", 'Ω', 'a@b'])
      expect(cell(text)).toBe(text);
  });

  it('come back as they were written, whatever is in them', () => {
    const cells = fc.array(
      fc.oneof(
        fc.string({ unit: 'binary' }),
        fc.string(),
        fc.constant(null),
        fc.double({ noNaN: true, noDefaultInfinity: true }),
      ),
      {
        minLength: 1,
        maxLength: 6,
      },
    );
    const separators = fc.constantFrom(',' as const, ';' as const);
    const decimals = fc.constantFrom('.' as const, ',' as const);
    fc.assert(
      fc.property(
        fc.array(cells, { minLength: 1, maxLength: 5 }),
        separators,
        decimals,
        (lines: CsvCell[][], separator, decimal) => {
          const back = parseCsv(csvText(lines, separator, decimal), separator);
          expect(back).toHaveLength(lines.length);
          lines.forEach((line, row) => {
            expect(back[row]).toHaveLength(line.length);
            line.forEach((cell, column) => {
              const text = back[row]![column]!;
              if (cell === null) expect(text).toBe('');
              else if (typeof cell === 'string') expect([cell, `'${cell}`]).toContain(text);
              else expect(Number(text.replace(decimal, '.'))).toBe(Number(cell.toPrecision(7)) + 0);
              if (typeof cell === 'string') expect(text).not.toMatch(/^[=+\-@\t\r]/);
            });
          });
        },
      ),
      { seed: 7, numRuns: 100 },
    );
  });
});
