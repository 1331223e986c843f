/** Findings on light made by hand: after closing, and short of the open level. */
import { describe, expect, it } from 'vitest';
import { timeOfLabel } from '../../../app/judge/series.ts';
import type { RemarkCode } from '../../../app/measure/figures.ts';
import { seconds } from '../../../firmware-protocol/units.ts';
import { findings, found, ids, type Mark, mark, near, type Shot } from './hand-made-job.ts';

describe('light after closing', () => {
  const lit = (peak: number | null, glow: number | null, effective = 0.01): Shot => ({
    error: 0,
    figures: {
      effective: seconds(effective),
      rebound: peak === null ? null : { peak, effective: seconds(0.002), delay: seconds(0.003) },
      remarks: glow === null ? [] : [{ code: 'glow after closing', value: glow }],
    },
  });
  const dark = lit(null, null);

  it('that comes back is told by its height and what it adds', () => {
    const marks: Mark[] = [
      { label: '1/60', shots: [lit(0.1, null), lit(0.12, null, 0.005), dark, dark, dark, dark] },
      { label: '1/125', shots: [lit(0.14, null), dark, dark, dark, dark, dark] },
    ];
    expect(found('blade rebound', marks)).toMatchObject({
      marks: ['1/60', '1/125'],
      seen: 'In three firings of 12 light came back after closing; at its highest it was 12.0 % of the open light in the mean (at 1/60 and 1/125). It adds up to 0.49 EV of exposure.',
      effect: '12.0 %',
      readings: ['1/60 #1', '1/60 #2', '1/125 #1'],
    });
  });

  it('that stays is told by its height', () => {
    const marks = [{ label: '1/60', shots: [lit(null, 0.02), lit(null, 0.03), lit(null, 0.04), dark] }];
    expect(found('steady glow', marks)).toMatchObject({
      marks: ['1/60'],
      seen: 'In three firings of 4 light stayed on after closing, 3.0 % of the open light in the mean (at 1/60).',
      effect: '3.0 %',
      readings: ['1/60 #1', '1/60 #2', '1/60 #3'],
    });
  });

  it('is a habit from three firings, and a quarter of those read', () => {
    const job = (bumps: number, all: number) =>
      found('blade rebound', [
        { label: '1/60', shots: Array.from({ length: all }, (_, n) => (n < bumps ? lit(0.1, null) : dark)) },
      ]);
    expect(job(3, 12)).toBeDefined();
    expect(job(3, 13)).toBeUndefined();
    expect(job(2, 4)).toBeUndefined();
  });

  it('counts from 5 % when it comes back, and beyond what stays', () => {
    const job = (peak: number, glow: number | null) =>
      found('blade rebound', [{ label: '1/60', shots: [peak, peak, peak].map((p) => lit(p, glow)) }]);
    expect(job(0.051, null)).toBeDefined();
    expect(job(0.049, null)).toBeUndefined();
    expect(job(0.07, 0.03)).toBeUndefined();
    expect(job(0.1, 0.03)!.effect).toBe('7.0 %');
    const uneven = [0.06, 0.06, 0.2].map((peak) => lit(peak, 0.03));
    expect(found('blade rebound', [{ label: '1/60', shots: uneven }])).toBeUndefined();
  });

  it('is looked for only in firings that could be read', () => {
    const unread = { ...dark, figures: { effective: null } };
    const shots = [
      lit(0.1, null),
      lit(0.1, null),
      lit(0.1, null),
      ...Array.from({ length: 20 }, () => unread),
    ];
    expect(found('blade rebound', [{ label: '1/60', shots }])!.seen).toContain('three firings of 3 ');
  });
});

describe('a low peak', () => {
  const reaching = (share: number | null, error = 0): Shot => ({
    error,
    figures: share === null ? {} : { remarks: [{ code: 'low peak', value: share }] },
  });
  const job = (...shares: (number | null)[]) =>
    found('blade drag', [{ label: '1/500', shots: shares.map((share) => reaching(share)) }]);

  it('is one of three firings, at least half of those at the mark, under 95 %', () => {
    expect(job(0.9, 0.88, 0.92, null, null, null)).toMatchObject({
      marks: ['1/500'],
      seen: 'Three firings at 1/500 reached only 90 % of the open light in the mean.',
      effect: '90 %',
      threshold: '95 %',
      readings: ids('1/500', 3),
    });
    expect(job(0.9, 0.9, 0.9, null, null, null, null)).toBeUndefined();
    expect(job(0.9, 0.9)).toBeUndefined();
    expect(job(0.94, 0.94, 0.94)).toBeDefined();
    expect(job(0.95, 0.95, 0.95)).toBeUndefined();
  });

  it('is no other remark, and counts no firing that could not be read', () => {
    const other = { error: 0, figures: { remarks: [{ code: 'light changed' as RemarkCode, value: 0.5 }] } };
    expect(found('blade drag', [{ label: '1/500', shots: [other, other, other] }])).toBeUndefined();
    const unread = { error: 0, figures: { effective: null } };
    const low = [0.9, 0.9, 0.9].map((share) => reaching(share));
    const shots = [...low, unread, unread, unread, unread];
    expect(found('blade drag', [{ label: '1/500', shots }])).toBeDefined();
  });

  it('and slow fast marks are two signs of one thing', () => {
    // All marks 0.8 ms longer.
    const drag = (label: string, share: number | null = null): Mark => ({
      label,
      shots: near(Math.log2(1 + 0.0008 / timeOfLabel(label)!)).map((error) => reaching(share, error)),
    });
    const marks = ['1/15', '1/30', '1/60', '1/125', '1/250'].map((label) => drag(label));
    const all = findings([...marks, drag('1/500', 0.9)]);
    expect(all.map(({ code }) => code)).toEqual(['blade drag']);
    expect(all[0]!.marks).toEqual(['1/125', '1/250', '1/500']);
    expect(all[0]!.seen).toMatch(/^The fast marks are slow .* Four firings at 1\/500 reached only 90 %/);
    expect(new Set(all[0]!.readings).size).toBe(all[0]!.readings.length);
    expect(all[0]!.readings).toHaveLength(12);
    // Low at a mark that is not slow: it stands beside, and other findings stay as they are.
    const off = [mark('1/15', 0.5), mark('1/30', 0.5), mark('1/60', 0.5), mark('1/125', 0.5)];
    off.push({ label: '1/250', shots: near(0.5).map((error) => reaching(0.9, error)) });
    expect(findings(off).map(({ code }) => code)).toEqual(['all marks off', 'blade drag']);
  });
});
