/** Findings on times made by hand: what each of them says, to the last number, and where it stops. */
import { describe, expect, it } from 'vitest';
import type { FindingReading } from '../../../app/judge/finding.ts';
import { findings, found, ids, type Mark, mark, near } from './hand-made-job.ts';

describe('a governor that is bypassed', () => {
  const job = (a: number, b: number) =>
    found('governor bypassed', [mark('1/30', a), mark('1/60', b), mark('1/125', 0), mark('1/250', 0)], {
      governed: ['1/30', '1/60'],
    });

  it('is told by its least and its most short mark', () => {
    expect(job(-1, -1.5)).toMatchObject({
      marks: ['1/30', '1/60'],
      seen: 'All governed marks are far too short, by 1.00 EV to 1.50 EV: from 1/30 to 1/60 they open for 5.9 to 16.7 ms.',
      effect: '−1.00 EV',
      readings: [...ids('1/30', 4), ...ids('1/60', 4)],
    });
    expect(job(-2, -1)!.seen).toContain('they open for 8.3 ms.');
  });

  it('is one only where every governed mark is short by 0.75 stop', () => {
    expect(job(-0.77, -2)).toBeDefined();
    expect(job(-0.73, -2)).toBeUndefined();
    expect(job(-2, -0.73)).toBeUndefined();
  });

  it('is not claimed where one mark scatters too much to tell', () => {
    const marks = [mark('1/30', -1.2), { label: '1/60', shots: [-0.2, -2.2] }, mark('1/125', 0)];
    expect(found('governor bypassed', marks, { governed: ['1/30', '1/60'] })).toBeUndefined();
  });
});

describe('bench and body', () => {
  const both = (label: string, difference: number, out: FindingReading['mounting'] = 'bare'): Mark => ({
    label,
    shots: [
      ...near(0).map((error) => ({ error, mounting: out })),
      ...near(difference).map((error) => ({ error, mounting: 'in the body' as const })),
    ],
  });

  it('are compared mark by mark, and the largest difference is named', () => {
    const marks = [both('1/60', 0.3), both('1/125', 0.05), both('1/500', -0.5), mark('1/250', 0)];
    const finding = found('bench and body differ', marks)!;
    expect(finding).toMatchObject({
      marks: ['1/60', '1/500'],
      seen: 'In the body the times differ from those out of it: +0.30 EV at 1/60, −0.50 EV at 1/500.',
      effect: '−0.50 EV',
    });
    expect(finding.readings.toSorted()).toEqual([...ids('1/500', 8), ...ids('1/60', 8)].toSorted());
  });

  it('are told by the largest difference wherever it comes', () => {
    const marks = [both('1/60', -0.5), both('1/125', 0.3)];
    expect(found('bench and body differ', marks)!.effect).toBe('−0.50 EV');
  });

  it('differ from a tenth of a stop on, with the front plate fastened as well', () => {
    expect(found('bench and body differ', [both('1/60', 0.11, 'front plate fastened')])).toBeDefined();
    expect(found('bench and body differ', [both('1/60', 0.09)])).toBeUndefined();
    expect(found('bench and body differ', [both('1/60', 0.3, 'not stated')])).toBeUndefined();
  });

  it('need three firings either way, and no chance difference', () => {
    const { shots } = both('1/60', 0.3);
    expect(
      found('bench and body differ', [
        { label: '1/60', shots: [...shots.slice(0, 4), ...shots.slice(4, 7)] },
      ]),
    ).toBeDefined();
    expect(
      found('bench and body differ', [
        { label: '1/60', shots: [...shots.slice(0, 4), ...shots.slice(4, 6)] },
      ]),
    ).toBeUndefined();
    expect(found('bench and body differ', [{ label: '1/60', shots: shots.slice(2) }])).toBeUndefined();
    const wild = [-0.3, 0, 0.3].flatMap((error) => [
      { error, mounting: 'bare' as const },
      { error: error + 0.3, mounting: 'in the body' as const },
    ]);
    expect(found('bench and body differ', [{ label: '1/60', shots: wild }])).toBeUndefined();
  });
});

describe('neighbours', () => {
  const series = (errors: Record<string, number>): Mark[] =>
    ['1/30', '1/60', '1/125', '1/250', '1/500'].map((label) => mark(label, errors[label] ?? 0));

  it('that give the same time are named with both times', () => {
    expect(found('neighbours equal', series({ '1/250': 0.9 }))).toMatchObject({
      marks: ['1/125', '1/250'],
      seen: '1/125 and 1/250 give the same time within 0.15 EV (1/125 8.00 ms, 1/250 7.46 ms) and should lie +1.00 EV apart.',
      suggests: expect.stringContaining('the cam plate has lost the step between them'),
      effect: '+0.10 EV',
      readings: [...ids('1/125', 4), ...ids('1/250', 4)],
    });
    expect(found('neighbours equal', series({ '1/500': 1 }))!.suggests).toContain('at the very top');
  });

  it('are equal within 0.15 stop either way, and surely so', () => {
    expect(found('neighbours equal', series({ '1/250': 0.83 }))).toBeUndefined();
    expect(found('neighbours equal', series({ '1/250': 1.17 }))).toBeUndefined();
    const loose = series({ '1/250': 1 });
    loose[3] = { label: '1/250', shots: [0.8, 1, 1.2] };
    expect(found('neighbours equal', loose)).toBeUndefined();
    // A tenth apart either way: sure of the far limit, not of the near one.
    for (const error of [0.9, 1.1]) {
      loose[3] = { label: '1/250', shots: [error - 0.025, error, error + 0.025] };
      expect(found('neighbours equal', loose)).toBeUndefined();
    }
  });

  it('engraved less than 0.7 stop apart are no case for it', () => {
    expect(found('neighbours equal', [mark('1/250', 0), mark('1/300', 0.26)])).toBeUndefined();
  });

  it('of which the faster opens longer are named the wrong way round, however the series is ordered', () => {
    const marks = series({ '1/250': 1.2 });
    for (const ordered of [marks, marks.toReversed()]) {
      expect(found('order inverted', ordered)).toMatchObject({
        marks: ['1/125', '1/250'],
        seen: '1/250 opens longer than 1/125, by +0.20 EV: 1/125 8.00 ms, 1/250 9.19 ms.',
        effect: '+0.20 EV',
        readings: [...ids('1/125', 4), ...ids('1/250', 4)],
      });
    }
    expect(found('order inverted', series({ '1/250': 1.08 }))).toBeUndefined();
    const loose = series({});
    loose[3] = { label: '1/250', shots: [0.7, 1.2, 1.7] };
    expect(found('order inverted', loose)).toBeUndefined();
  });

  it('blame the one that is farther off, which is then no bad mark besides', () => {
    for (const marks of [series({ '1/60': -1 }), series({ '1/125': 1 })]) {
      expect(findings(marks).map(({ code }) => code)).toEqual(['neighbours equal']);
    }
  });
});

describe('drift', () => {
  const drifting = (slope: number, firings: number, labels = ['1/30', '1/60', '1/125']): Mark[] =>
    labels.map((label, m) => ({
      label,
      shots: Array.from({ length: firings }, (_, n) => 0.1 * m + slope * (m * firings + n)),
    }));

  it('is the change from the first firing to the last, whatever the marks are off by', () => {
    expect(found('drift over the series', drifting(0.05, 3), {}, 11)).toMatchObject({
      marks: ['1/30', '1/60', '1/125'],
      seen: 'From firing 11 to firing 19 the times grew longer by +0.40 EV, seen within the firings of 1/30, 1/60 and 1/125.',
      effect: '+0.40 EV',
      readings: ['1/30', '1/60', '1/125'].flatMap((label) => ids(label, 3)),
    });
    expect(found('drift over the series', drifting(-0.05, 3))!.seen).toContain('grew shorter by −0.40 EV');
  });

  it('counts from 0.3 stop, on three marks of three firings', () => {
    expect(found('drift over the series', drifting(0.039, 3))).toBeDefined();
    expect(found('drift over the series', drifting(0.036, 3))).toBeUndefined();
    expect(found('drift over the series', drifting(0.2, 2))).toBeUndefined();
    expect(found('drift over the series', drifting(0.2, 3, ['1/30', '1/60']))).toBeUndefined();
  });

  it('is not claimed of firings that scatter as much', () => {
    const scattered = drifting(0.05, 3).map(({ label, shots }) => ({
      label,
      shots: shots.map((error, n) => (error as number) + [0.1, -0.2, 0.1][n]!),
    }));
    expect(found('drift over the series', scattered)).toBeUndefined();
  });
});

describe('firings after a rest', () => {
  const rested = (label: string, error: number, ...firsts: (number | null)[]): Mark => ({
    label,
    shots: [
      ...firsts.map((first) => ({
        error: first ?? 0,
        ...(first === null ? { time: null } : {}),
        counted: false,
        afterRest: true,
        rest: 3600,
      })),
      ...near(error),
    ],
  });

  it('are held against the next ones of their marks', () => {
    const marks = [rested('1/30', 0.1, 0.5, 0.7), rested('1/60', 0, 0.5, null), mark('1/125', 0)];
    expect(found('gummed lubricant', marks)).toMatchObject({
      marks: ['1/30', '1/60'],
      seen: 'Three firings after a rest, at 1/30 and 1/60, came out longer than the next ones of their marks by +0.50 EV in the mean.',
      effect: '+0.50 EV',
      readings: [...ids('1/30', 6), ...ids('1/60', 6)],
    });
  });

  it('count from 0.15 stop, from three of them, at marks of three firings', () => {
    const job = (...longer: number[]) => found('gummed lubricant', [rested('1/30', 0, ...longer)]);
    expect(job(0.16, 0.16, 0.16)).toBeDefined();
    expect(job(0.14, 0.14, 0.14)).toBeUndefined();
    expect(job(0.5, 0.5)).toBeUndefined();
    const { shots } = rested('1/30', 0, 0.5, 0.5, 0.5);
    expect(found('gummed lubricant', [{ label: '1/30', shots: shots.slice(0, 6) }])).toBeDefined();
    expect(found('gummed lubricant', [{ label: '1/30', shots: shots.slice(0, 5) }])).toBeUndefined();
  });

  it('must stand out from the scatter of their marks', () => {
    const shots = [...rested('1/30', 0, 0.3, 0.3, 0.3).shots.slice(0, 3), -0.3, 0, 0.3];
    expect(found('gummed lubricant', [{ label: '1/30', shots }])).toBeUndefined();
  });
});

describe('slow marks that scatter', () => {
  const wild = (label: string, sd = 0.2): Mark => ({ label, shots: [0, sd, -sd, 0, sd, -sd, 0] });
  const governed = { governed: ['1/2', '1/4', '1/15', '1/30'] };
  const good = [mark('1/125', 0), mark('1/250', 0)];

  it('are held against the others', () => {
    // Four of seven lie one size off: SD = size · √(4/6).
    expect(found('slow marks erratic', [wild('1/2'), wild('1/4'), ...good], governed)).toMatchObject({
      marks: ['1/2', '1/4'],
      seen: 'Single firings at 1/2 and 1/4 scatter by 0.16 EV (SD), at the two other marks by 0.01 EV.',
      effect: '0.16 EV',
      readings: [...ids('1/2', 7), ...ids('1/4', 7)],
    });
  });

  it('are named where they stayed open', () => {
    const hung = {
      error: 0,
      time: null,
      counted: false,
      figures: { remarks: [{ code: 'never closed' as const }] },
    };
    const stuck: Mark = { ...wild('1/2'), outcome: 'stuck open' };
    const open: Mark = { label: '1/4', shots: [...wild('1/4').shots, hung] };
    const other: Mark = { label: '1/125', shots: [...near(0), hung] };
    const seen = (marks: readonly Mark[]) => found('slow marks erratic', marks, governed)!.seen;
    expect(seen([stuck, wild('1/4'), other, good[1]!])).toMatch(
      / At 1\/2 the blades stayed open at least once\.$/,
    );
    expect(seen([stuck, open, ...good])).toMatch(/ At 1\/2 and 1\/4 the blades stayed open/);
  });

  it('are governed ones of 1/15 and slower, with two others beside them', () => {
    const job = (...marks: Mark[]) => found('slow marks erratic', marks, governed);
    expect(job(wild('1/4'), wild('1/15'), ...good)).toBeDefined();
    expect(job(wild('1/15'), wild('1/30'), ...good)).toBeUndefined();
    expect(job(wild('1/4'), wild('1/8'), ...good)).toBeUndefined();
    expect(job(wild('1/4'), wild('1/15'), good[0]!)).toBeUndefined();
    expect(job(wild('1/4'), ...good)).toBeUndefined();
  });

  it('scatter by 0.08 stop at the least, and more than the others', () => {
    const job = (sd: number, ...others: Mark[]) =>
      found('slow marks erratic', [wild('1/2', sd), wild('1/4', sd), ...others], governed);
    expect(job(0.1, ...good)).toBeDefined();
    expect(job(0.095, ...good)).toBeUndefined();
    expect(job(0.2, wild('1/125'), wild('1/250'))).toBeUndefined();
  });

  it('say nothing more where the governor is bypassed', () => {
    const short = ['1/2', '1/4'].map((label) => ({
      label,
      shots: wild(label).shots.map((error) => (error as number) - 2),
    }));
    const codes = findings([...short, ...good], { governed: ['1/2', '1/4'] }).map(({ code }) => code);
    expect(codes).toEqual(['governor bypassed']);
  });
});
