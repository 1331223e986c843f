import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readOwnSeries } from '../../app/judge/own-series.ts';
import { BUILT_IN_SERIES, LEAF_SERIES, seriesBetween } from '../../app/judge/series.ts';
import type { Series } from '../../app/judge/verdict.ts';

const labels = (series: Series) => series.speeds.map(({ label }) => label);

/** The series read from `text`, or a failed test. */
function own(text: string): Series {
  const result = readOwnSeries(text);
  if (!result.ok) throw new Error(result.problems.map(({ sentence }) => sentence).join(' '));
  return result.series;
}

function problems(text: string) {
  const result = readOwnSeries(text);
  return result.ok ? [] : result.problems.map(({ entry, kind }) => [kind, entry]);
}

describe('built-in series', () => {
  it('run from slow to fast after T and B, each mark once', () => {
    expect(new Set(BUILT_IN_SERIES.map(({ id }) => id)).size).toBe(BUILT_IN_SERIES.length);
    for (const series of BUILT_IN_SERIES) {
      expect(new Set(labels(series)).size).toBe(series.speeds.length);
      const timed = series.speeds.filter(({ marked }) => marked !== null);
      const untimed = series.speeds.filter(({ marked }) => marked === null);
      expect(series.speeds).toEqual([...untimed, ...timed]);
      expect(untimed.every(({ label, exact }) => exact === null && (label === 'T' || label === 'B'))).toBe(
        true,
      );
      timed.slice(1).forEach(({ marked }, i) => {
        expect(marked!).toBeLessThan(timed[i]!.marked!);
      });
    }
  });

  it('let a job choose the marks its shutter has', () => {
    expect(labels(seriesBetween(LEAF_SERIES, '1/2', '1/30', ['B']))).toEqual([
      'B',
      '1/2',
      '1/4',
      '1/8',
      '1/15',
      '1/30',
    ]);
    expect(labels(seriesBetween(LEAF_SERIES, '1/60', '1/60', []))).toEqual(['1/60']);
    expect(seriesBetween(LEAF_SERIES, '1', '1/500', ['B'])).toEqual(LEAF_SERIES);
    expect(() => seriesBetween(LEAF_SERIES, '1/60', '1', [])).toThrow(/faster than/);
    expect(() => seriesBetween(LEAF_SERIES, 'B', '1/60', [])).toThrow(/no timed mark/);
    expect(() => seriesBetween(LEAF_SERIES, '1', '1/75', [])).toThrow(/1\/75/);
  });
});

describe('a list of the user’s own', () => {
  it('is read in any order and with any of the usual separators', () => {
    expect(labels(own('1/60, b;1/5\n2 s\t1 / 25 T 0.5 1"'))).toEqual([
      'T',
      'B',
      '2',
      '1',
      '0.5',
      '1/5',
      '1/25',
      '1/60',
    ]);
    expect(own('1/75').speeds[0]!.marked).toBe(1 / 75);
    expect(labels(own('.5 1/060'))).toEqual(['0.5', '1/60']);
  });

  it('takes any digits and spaces, and the longest time a ring may mean', () => {
    expect(labels(own('10/25'))).toEqual(['10/25']);
    expect(labels(own('1  /  60'))).toEqual(['1/60']);
    expect(labels(own('0.25 60'))).toEqual(['60', '0.25']);
    expect(own('0.25').speeds[0]!.marked).toBe(0.25);
    expect(problems('5x x5 61')).toEqual([
      ['unreadable', '5x'],
      ['unreadable', 'x5'],
      ['too long', '61'],
    ]);
  });

  it('says of a mark that comes twice whether it is the same or the same time', () => {
    const sentences = (text: string) => {
      const result = readOwnSeries(text);
      return result.ok ? [] : result.problems.map(({ sentence }) => sentence);
    };
    expect(sentences('b B')).toEqual(['“B” stands in the list twice.']);
    expect(sentences('B b')).toEqual(['“b” stands in the list twice.']);
    expect(sentences('1/2 0.5')).toEqual(['“0.5” is the same speed as “1/2”.']);
  });

  it('gets exact times only if all of it is the doubling series', () => {
    expect(own('1/60 1/125 B').speeds.map(({ exact }) => exact)).toEqual([null, 1 / 64, 1 / 128]);
    expect(own('1/50 1/125 B').speeds.map(({ exact }) => exact)).toEqual([null, null, null]);
  });

  it('reports every problem at once and returns no series', () => {
    expect(problems('')).toEqual([['empty', '']]);
    expect(problems(' ,; ')).toEqual([['empty', '']]);
    expect(problems('1/60 fast 1/0 0 1/60 1/2 0.5 b B 125 -1/4 1/2.5 1e-7')).toEqual([
      ['unreadable', 'fast'],
      ['zero', '1/0'],
      ['zero', '0'],
      ['duplicate', '1/60'],
      ['duplicate', '0.5'],
      ['duplicate', 'B'],
      ['too long', '125'],
      ['unreadable', '-1/4'],
      ['unreadable', '1/2.5'],
      ['unreadable', '1e-7'],
    ]);
    // A decimal comma is taken for a separator; the zero it leaves behind is caught.
    expect(problems('0,5')).toEqual([['zero', '0']]);
    expect(problems('1/99999999999999999999999999')).toEqual([
      ['unreadable', '1/99999999999999999999999999'],
    ]);
    expect(problems('0.00000001')).toEqual([['unreadable', '0.00000001']]);
  });

  it('says in a sentence what is meant', () => {
    const result = readOwnSeries('125');
    expect(!result.ok && result.problems[0]!.sentence).toContain('write 1/125');
  });

  it('never gives a series that breaks the rules of one, whatever is typed', () => {
    const piece = fc.constantFrom(
      '1',
      '/',
      '60',
      ' ',
      ',',
      'B',
      't',
      '.',
      '0',
      's',
      '"',
      '2',
      '-',
      'x',
      '\n',
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 24 }), (pieces) => {
        const result = readOwnSeries(pieces.join(''));
        if (!result.ok) {
          expect(result.problems.length).toBeGreaterThan(0);
          return;
        }
        const { speeds } = result.series;
        expect(new Set(speeds.map(({ label }) => label)).size).toBe(speeds.length);
        for (const { label, marked } of speeds) {
          if (marked === null) expect(['B', 'T']).toContain(label);
          else expect(marked > 0 && marked <= 60).toBe(true);
        }
        // Its labels, written out, are read as the same series.
        expect(own(labels(result.series).join(' '))).toEqual(result.series);
      }),
      { seed: 2, numRuns: 500 },
    );
  });
});
