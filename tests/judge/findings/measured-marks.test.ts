/** What findings compare, and how sure they are of it, worked out by hand. */
import { describe, expect, it } from 'vitest';
import type { FindingReading, FindingsInput } from '../../../app/judge/finding.ts';
import { measuredMarks, pooledSpread } from '../../../app/judge/findings/measured-marks.ts';
import { benchAgainstBody } from '../../../app/judge/findings/mountings.ts';
import { timeOfLabel } from '../../../app/judge/series.ts';
import { seconds } from '../../../firmware-protocol/units.ts';
import { findings, found, ids, mark, near } from './hand-made-job.ts';

const PROFILE = { governed: ['1/30'], pallet: [], booster: ['1/500'], fromCentre: true };

const input = (
  labels: readonly string[],
  shots: readonly { readonly error: number; readonly mounting?: FindingReading['mounting'] }[],
): FindingsInput => ({
  profile: PROFILE,
  marks: labels.map((label) => ({
    label,
    reference: timeOfLabel(label),
    outcome: null,
    readings: shots.map(
      ({ error, mounting = 'bare' }, n) =>
        ({
          id: `${label} #${n + 1}`,
          ordinal: n + 1,
          time: seconds((timeOfLabel(label) ?? 1) * 2 ** error),
          counted: true,
          afterRest: false,
          mounting,
        }) as unknown as FindingReading,
    ),
  })),
});

describe('a measured mark', () => {
  const shots = [0.1, 0.2, 0.3].map((error) => ({ error }));

  it('has the spread of its firings, and that of a sound cam besides: more at the two fastest', () => {
    const marks = measuredMarks(input(['1/500', '1/30', 'B', '1/250', '1/60'], shots));
    expect(marks.map(({ label }) => label)).toEqual(['1/500', '1/30', '1/250', '1/60']);
    for (const { label, meanError, spread, ofFirings, ofSound } of marks) {
      const cam = ['1/250', '1/500'].includes(label) ? 0.12 : 0.08;
      expect(meanError).toBeCloseTo(0.2, 9);
      expect(spread).toEqual({ variance: expect.closeTo(0.01, 9), dof: 2 });
      expect(ofFirings).toEqual({ variance: expect.closeTo(0.01 / 3, 9), dof: 2 });
      expect(ofSound.variance).toBeCloseTo(0.01 / 3 + cam ** 2, 9);
      expect(ofSound.dof).toBeCloseTo((2 * (0.01 / 3 + cam ** 2) ** 2) / (0.01 / 3) ** 2, 6);
    }
    expect(marks[0]).toMatchObject({ governed: false, booster: true });
    expect(marks[1]).toMatchObject({ governed: true, booster: false });
  });

  it('has two readings at least', () => {
    expect(measuredMarks(input(['1/60'], shots.slice(0, 2)))).toHaveLength(1);
    expect(measuredMarks(input(['1/60'], shots.slice(0, 1)))).toEqual([]);
  });

  it('pools its spread with others by their degrees of freedom', () => {
    const spreads = [
      { variance: 0.01, dof: 2 },
      { variance: 0.04, dof: 4 },
    ].map((spread) => ({ ...measuredMarks(input(['1/60'], shots))[0]!, spread }));
    expect(pooledSpread(spreads)).toEqual({ variance: expect.closeTo(0.03, 12), dof: 6 });
  });
});

describe('where bench and body differ', () => {
  const job = (bench: number, body: number) => [
    ...near(0)
      .slice(0, bench)
      .map((error) => ({ error, mounting: 'bare' as const })),
    ...near(0.5)
      .slice(0, body)
      .map((error) => ({ error, mounting: 'in the body' as const })),
  ];
  const restOf = (bench: number, body: number) =>
    benchAgainstBody(input(['1/60', '1/125'], job(bench, body)))!.rest.marks.map(({ readings }) =>
      [...new Set(readings.map(({ mounting }) => mounting))].join(),
    );

  it('the others are looked at in the state with more readings, in the body if there are as many', () => {
    expect(restOf(4, 3)).toEqual(['bare', 'bare']);
    expect(restOf(3, 4)).toEqual(['in the body', 'in the body']);
    expect(restOf(4, 4)).toEqual(['in the body', 'in the body']);
  });
});

describe('how sure', () => {
  // Standard table of Student's t (from memory): 5.893 for 5 degrees of freedom, two-sided 0.002.
  it.each([
    [6.1, true],
    [5.7, false],
  ])('a drift of t = %f over three marks of three firings is one: %s', (t, is) => {
    const slope = 0.05;
    // Off the line by r, −2r, r: no slope, no mean. Variance of the slope 18·r² / 5 / 6.
    const r = slope / t / Math.sqrt(18 / 5 / 6);
    const marks = ['1/30', '1/60', '1/125'].map((label, m) => ({
      label,
      shots: [r, -2 * r, r].map((off, n) => 0.1 * m + slope * (3 * m + n) + off),
    }));
    expect(found('drift over the series', marks) !== undefined).toBe(is);
  });

  // The same table: 10.215 for 3 degrees of freedom, one-sided 0.001.
  it.each([
    [10.6, true],
    [9.8, false],
  ])('three firings after a rest longer by t = %f than four others are: %s', (t, is) => {
    // Four of spread s·√(2/3); the difference of means of 3 and 4 has √(1/3 + 1/4) of it.
    const s = 0.2 / t / Math.sqrt(2 / 3) / Math.sqrt(1 / 3 + 1 / 4);
    const rested = { error: 0.2, counted: false, afterRest: true };
    const shots = [rested, rested, rested, 0, s, -s, 0];
    expect(found('gummed lubricant', [{ label: '1/30', shots }]) !== undefined).toBe(is);
  });
});

describe('B and T', () => {
  const open = {
    error: 0,
    time: null,
    counted: false,
    figures: { remarks: [{ code: 'never closed' as const }] },
  };
  const fine = { error: 0 };
  const short = { error: -8 };

  it('are named where they hang, with what was seen and nothing else', () => {
    const marks = [
      { label: 'T', shots: [fine, fine] },
      { label: 'B', shots: [open, fine, open] },
    ];
    expect(found('B or T hangs', marks)).toMatchObject({
      marks: ['B'],
      seen: 'At B: two firings never closed.',
      effect: 'two firings',
      readings: ['B #1', 'B #3'],
    });
  });

  it('are no case for what did not count, or has another remark', () => {
    const aside = { ...short, counted: false };
    expect(found('B or T hangs', [{ label: 'B', shots: [aside, aside] }])).toBeUndefined();
    const other = { ...fine, figures: { remarks: [{ code: 'light changed' as const }] } };
    expect(found('B or T hangs', [{ label: 'B', shots: [other, other] }])).toBeUndefined();
    expect(found('B or T hangs', [{ label: 'B', shots: [short, short] }])!.readings).toEqual(ids('B', 2));
  });
});

it('a mark that is explained leaves the others to be looked at', () => {
  const marks = [
    mark('1/2', 0),
    mark('1/4', -0.6),
    ...['1/8', '1/15', '1/30', '1/60', '1/125', '1/250'].map((label) => mark(label, 0)),
    mark('1/500', 1),
  ];
  expect(findings(marks).map(({ code }) => code)).toEqual(['one mark off', 'neighbours equal']);
});

it('a little light after closing counts towards a rebound where none stays', () => {
  const lit = (peak: number) => ({
    error: 0,
    figures: { rebound: { peak, effective: seconds(0.001), delay: seconds(0.003) } },
  });
  const finding = found('blade rebound', [{ label: '1/60', shots: [lit(0.03), lit(0.03), lit(0.12)] }])!;
  expect(finding.effect).toBe('6.0 %');
  expect(finding.readings).toHaveLength(3);
});
