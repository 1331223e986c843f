/** Patterns across marks made by hand: what each of them says, to the last number, and where it stops. */
import { describe, expect, it } from 'vitest';
import { timeOfLabel } from '../../../app/judge/series.ts';
import { seconds } from '../../../firmware-protocol/units.ts';
import { findings, ids, near, type Shot } from './hand-made-job.ts';

const LABELS = ['1/2', '1/4', '1/8', '1/30', '1/60', '1/125', '1/250', '1/500'];
const GOVERNED = LABELS.slice(0, 6);
const PALLET = LABELS.slice(0, 3);

type ErrorOf = (label: string) => number;

const job = (errorOf: ErrorOf, figures: NonNullable<Shot['figures']> = {}, profile = {}) =>
  findings(
    LABELS.map((label) => ({ label, shots: near(errorOf(label)).map((error) => ({ error, figures })) })),
    { governed: GOVERNED, pallet: PALLET, ...profile },
  );

/** Off by a ratio, or by a time, at some of the marks. */
const stopsAt =
  (labels: readonly string[], error: number): ErrorOf =>
  (label) =>
    labels.includes(label) ? error : 0;
const millisecondsAt =
  (labels: readonly string[], milliseconds: number): ErrorOf =>
  (label) =>
    labels.includes(label) ? Math.log2(1 + milliseconds / 1000 / timeOfLabel(label)!) : 0;

const codes = (...of: Parameters<typeof job>) => job(...of).map(({ code }) => code);

const readingsOf = (labels: readonly string[]) => labels.flatMap((label) => ids(label, 4));

describe('marks that are off by the same ratio', () => {
  it('all of them', () => {
    expect(job(stopsAt(LABELS, 0.5))).toMatchObject([
      {
        code: 'all marks off',
        marks: LABELS,
        seen: 'All eight marks are slow by about the same, +0.50 EV (between +0.50 EV and +0.50 EV).',
        effect: '+0.50 EV',
        readings: readingsOf(LABELS),
      },
    ]);
    expect(job(stopsAt(LABELS, -0.5))[0]!.seen).toContain('fast by about the same, −0.50 EV');
  });

  it('the governed ones', () => {
    const slow = job(stopsAt(GOVERNED, 0.4));
    expect(slow).toMatchObject([
      {
        code: 'escapement',
        marks: GOVERNED,
        seen: 'The governed marks are slow by about the same ratio, +0.40 EV (between +0.40 EV and +0.40 EV); the marks without governor (0.00 EV at 1/250, 0.00 EV at 1/500) don’t share it.',
        effect: '+0.40 EV',
        readings: readingsOf(GOVERNED),
      },
    ]);
    expect(slow[0]!.suggests).toContain('reaches too deep');
    expect(job(stopsAt(GOVERNED, -0.4))[0]!.suggests).toContain('reaches too little');
  });

  it('between the least and the largest of them', () => {
    const mixed = (label: string) => stopsAt(GOVERNED, 0.4)(label) + stopsAt(['1/4', '1/60'], 0.03)(label);
    expect(job(mixed)[0]!.seen).toContain('(between +0.40 EV and +0.43 EV)');
  });

  it('those of the pallet', () => {
    expect(job(stopsAt(PALLET, -0.4))).toMatchObject([
      {
        code: 'pallet',
        marks: PALLET,
        seen: 'The marks that use the pallet are fast by about −0.40 EV (between −0.40 EV and −0.40 EV); the others (between 0.00 EV and 0.00 EV) don’t share it.',
        effect: '−0.40 EV',
      },
    ]);
  });

  it('a single one', () => {
    const [finding, ...more] = job(stopsAt(['1/30'], -0.6));
    expect(more).toEqual([]);
    expect(finding).toMatchObject({
      code: 'one mark off',
      marks: ['1/30'],
      seen: '1/30 alone departs from the others, by −0.60 EV: it is off by −0.60 EV, the others between 0.00 EV and 0.00 EV.',
    });
    expect(finding!.suggests).not.toContain('ageing');
    expect(job(stopsAt(['1/500'], 0.7))[0]!.suggests).toContain(
      'At the very top it is often ordinary ageing.',
    );
  });
});

describe('marks that are off by the same time', () => {
  it('the governed ones: only those it shows at are listed', () => {
    const slow = job(millisecondsAt(GOVERNED, 3));
    expect(slow).toMatchObject([
      {
        code: 'governor engagement',
        marks: GOVERNED,
        seen: 'The governed marks are slow by about the same time, +3.0 ms (+3.0 ms at 1/30, +3.0 ms at 1/60, +3.0 ms at 1/125); the marks without governor (0.00 EV at 1/250, 0.00 EV at 1/500) don’t share it.',
        effect: '+3.0 ms',
      },
    ]);
    expect(slow[0]!.suggests).toContain('engages too far:');
    expect(job(millisecondsAt(GOVERNED, -3))[0]).toMatchObject({
      effect: '−3.0 ms',
      suggests: expect.stringContaining('engages too little:'),
    });
  });

  it('all of them: drag, at the marks it shows at, with the shape of the fastest', () => {
    const shape = { efficiency: 0.7, openingFull: seconds(0.002), opening: seconds(0.0015) };
    expect(job(millisecondsAt(LABELS, 1), shape)).toMatchObject([
      {
        code: 'blade drag',
        marks: ['1/125', '1/250', '1/500'],
        // log2 of 1.125, 1.25 and 1.5.
        seen: 'The fast marks are slow (+0.17 EV at 1/125, +0.32 EV at 1/250, +0.58 EV at 1/500), as if every mark took the same +1.0 ms longer. At 1/500 the blades take 2.00 ms to open and the efficiency is 0.70.',
        effect: '+0.58 EV',
        readings: readingsOf(['1/125', '1/250', '1/500']),
      },
    ]);
    const seen = (figures: NonNullable<Shot['figures']>) => job(millisecondsAt(LABELS, 1), figures)[0]!.seen;
    expect(seen({ ...shape, openingFull: null })).toContain('take 1.50 ms to open');
    expect(seen({ efficiency: 0.7 })).toMatch(/too coarse to show the blades\.$/);
    expect(seen({ opening: seconds(0.002) })).toMatch(/too coarse to show the blades\.$/);
  });

  it('is no finding where all are short: blades don’t hurry', () => {
    expect(codes(millisecondsAt(LABELS, -0.7))).toEqual([]);
  });
});

describe('a pattern is named', () => {
  it('from its practical threshold on', () => {
    expect(codes(stopsAt(GOVERNED, 0.22))).toEqual(['escapement']);
    expect(codes(stopsAt(GOVERNED, 0.18))).toEqual([]);
    expect(codes(stopsAt(LABELS, -0.22))).toEqual(['all marks off']);
    expect(codes(stopsAt(LABELS, -0.18))).toEqual([]);
    expect(codes(millisecondsAt(GOVERNED, 1.7))).toEqual(['governor engagement']);
    expect(codes(millisecondsAt(GOVERNED, 1.3))).toEqual([]);
  });

  it('by the governor only where marks without it can be compared, and by the pallet with two', () => {
    expect(codes(stopsAt(LABELS, 0.4), {}, { governed: LABELS })).toEqual(['all marks off']);
    const mostly = { governed: LABELS, pallet: LABELS.slice(0, 7) };
    expect(codes(stopsAt(mostly.pallet, 0.4), {}, mostly)).not.toContain('pallet');
    const few = { governed: LABELS.slice(4, 6), pallet: [] };
    expect(codes(stopsAt(few.governed, 0.4), {}, few)).not.toContain('escapement');
  });

  it('from the least number of marks on', () => {
    const governed = LABELS.slice(3, 6);
    expect(codes(stopsAt(governed, 0.4), {}, { governed, pallet: [] })).toEqual(['escapement']);
    expect(codes(millisecondsAt(governed, 3), {}, { governed, pallet: [] })).toEqual(['governor engagement']);
    const butOne = LABELS.slice(0, 7);
    expect(codes(stopsAt(butOne, 0.4), {}, { governed: butOne, pallet: [] })).toContain('escapement');
    const two = LABELS.slice(0, 2);
    expect(codes(stopsAt(two, 0.4), {}, { pallet: two })).toEqual(['pallet']);
    const butTwo = LABELS.slice(0, 6);
    expect(codes(stopsAt(butTwo, 0.4), {}, { governed: [], pallet: butTwo })).toEqual(['pallet']);
  });

  it('once for each of two marks that are off by themselves', () => {
    const two = (label: string) => stopsAt(['1/8'], 0.6)(label) + stopsAt(['1/60'], -0.6)(label);
    const found = job(two);
    expect(found.map(({ code }) => code)).toEqual(['one mark off', 'one mark off']);
    expect(found.flatMap(({ marks }) => marks).toSorted()).toEqual(['1/60', '1/8']);
  });

  it('with its size whatever else is off', () => {
    const both = (label: string) => stopsAt(GOVERNED, 0.5)(label) + (label === '1/8' ? -0.7 : 0);
    const found = job(both);
    expect(found.map(({ code }) => code).toSorted()).toEqual(['escapement', 'one mark off']);
    expect(found.find(({ code }) => code === 'escapement')!.effect).toBe('+0.50 EV');
    expect(found.find(({ code }) => code === 'one mark off')!.effect).toBe('−0.70 EV');
  });
});
