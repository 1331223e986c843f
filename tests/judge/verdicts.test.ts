import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BAND_PRESETS, ownBand, percentToStops, stopsToPercent } from '../../app/judge/bands.ts';
import { errorInStops, referenceTime, timeAtError } from '../../app/judge/error-in-stops.ts';
import { farFromMark } from '../../app/judge/far-from-mark.ts';
import { jobVerdict } from '../../app/judge/job-verdict.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { bandVerdict, type SpeedToJudge, speedVerdict } from '../../app/judge/speed-verdict.ts';
import type { Band, Verdict } from '../../app/judge/verdict.ts';
import {
  bandWords,
  conformityWords,
  farFromMarkQuestion,
  notCountedWords,
  ruleWords,
  signedStops,
  sizeInStops,
  spreadWords,
  verdictHeading,
  verdictWords,
} from '../../app/judge/verdict-words.ts';
import { type Seconds, seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from './sample-readings.ts';

const TIMED = { marked: seconds(1 / 60) };
const HALF: Band = { lower: stops(-0.5), upper: stops(0.5) };

const judge = (changes: Partial<SpeedToJudge>): Verdict =>
  speedVerdict({
    mark: TIMED,
    statistics: { n: 5, meanError: stops(0) },
    outcome: null,
    band: HALF,
    least: 3,
    guard: stops(0),
    ...changes,
  });

const mark = (label: string) => LEAF_SERIES.speeds.find((speed) => speed.label === label)!;

describe('verdict on a speed', () => {
  it('includes both limits', () => {
    for (const { band } of BAND_PRESETS) {
      expect(bandVerdict(band.lower, band)).toBe('within');
      expect(bandVerdict(band.upper, band)).toBe('within');
      expect(bandVerdict(stops(band.upper + 1e-6), band)).toBe('slow');
      expect(bandVerdict(stops(band.lower - 1e-6), band)).toBe('fast');
    }
  });

  it('takes firings that stand on a limit as within, in spite of rounding', () => {
    for (const { band } of BAND_PRESETS) {
      for (const { marked } of LEAF_SERIES.speeds) {
        if (marked === null) continue;
        for (const limit of [band.lower, band.upper]) {
          const time = timeAtError(marked, limit);
          const statistics = statisticsOf([reading(time), reading(time), reading(time)], marked);
          expect(judge({ statistics, band })).toBe('within');
        }
      }
    }
  });

  it('is never given on too few firings', () => {
    expect(judge({ statistics: { n: 2, meanError: stops(0) } })).toBe('too few');
    expect(judge({ statistics: { n: 3, meanError: stops(0) } })).toBe('within');
    expect(judge({ statistics: { n: 0, meanError: null }, least: 0 })).toBe('too few');
  });

  it('lets a recorded failure outweigh good firings, and firings outweigh “not tried”', () => {
    expect(judge({ outcome: 'did not fire' })).toBe('did not fire');
    expect(judge({ outcome: 'stuck open' })).toBe('stuck open');
    expect(judge({ outcome: 'stuck open', mark: { marked: null } })).toBe('stuck open');
    expect(judge({ outcome: 'not tried' })).toBe('within');
    expect(judge({ outcome: 'not tried', statistics: { n: 0, meanError: null } })).toBe('not tried');
  });

  it('has nothing to compare B and T with', () => {
    expect(judge({ mark: { marked: null }, statistics: { n: 4, meanError: null } })).toBe('no time');
    expect(judge({ mark: { marked: null }, statistics: { n: 0, meanError: null } })).toBe('no time');
  });

  it('goes from fast over within to slow as the error grows, and never back', () => {
    const order = ['fast', 'within', 'slow'];
    const error = fc.double({ min: -20, max: 20, noNaN: true });
    fc.assert(
      fc.property(error, error, error, error, (a, b, c, d) => {
        fc.pre(a < b);
        const band = { lower: stops(a), upper: stops(b) };
        const rank = (e: number) => order.indexOf(bandVerdict(stops(e), band));
        expect(rank(Math.min(c, d))).toBeLessThanOrEqual(rank(Math.max(c, d)));
        if (c > a && c < b) expect(rank(c)).toBe(1);
      }),
      { seed: 23, numRuns: 1000 },
    );
  });

  it('goes the same way with the times themselves', () => {
    const order = ['fast', 'within', 'slow'];
    const exponent = fc.double({ min: -3, max: 3, noNaN: true });
    fc.assert(
      fc.property(fc.array(exponent, { minLength: 3, maxLength: 8 }), exponent, (errors, shift) => {
        const verdictOf = (by: number) => {
          const times = errors.map((e) => reading(2 ** (e + by) / 60));
          return order.indexOf(judge({ statistics: statisticsOf(times, seconds(1 / 60)) }));
        };
        const longer = verdictOf(Math.max(shift, 0));
        expect(verdictOf(Math.min(shift, 0))).toBeLessThanOrEqual(longer);
      }),
      { seed: 24, numRuns: 300 },
    );
  });
});

describe('error and reference', () => {
  it('undo each other', () => {
    expect(errorInStops(seconds(1 / 30), seconds(1 / 60))).toBe(1);
    expect(timeAtError(seconds(1 / 60), stops(-1))).toBe(1 / 120);
  });

  it('refuse times that are none', () => {
    for (const bad of [0, -1, NaN, Infinity]) {
      expect(() => errorInStops(seconds(bad), seconds(1))).toThrow(RangeError);
      expect(() => errorInStops(seconds(1), seconds(bad))).toThrow(RangeError);
    }
  });

  it('fall back to the engraved time where a mark has no exact one', () => {
    expect(referenceTime(mark('1/60'), 'exact')).toBe(1 / 64);
    expect(referenceTime(mark('1/60'), 'marked')).toBe(1 / 60);
    const older = { label: '1/50', marked: 0.02 as Seconds, exact: null };
    expect(referenceTime(older, 'exact')).toBe(0.02);
    expect(referenceTime(mark('B'), 'exact')).toBeNull();
  });
});

describe('bands of the user’s own', () => {
  it('are taken in stops or in percent', () => {
    expect(ownBand(-0.2, 0.5, 'stops')).toEqual({ ok: true, band: { lower: -0.2, upper: 0.5 } });
    expect(ownBand(-50, 100, 'percent')).toEqual({ ok: true, band: { lower: -1, upper: 1 } });
  });

  it('are refused with a reason', () => {
    for (const [lower, upper, unit] of [
      [0.5, 0.5, 'stops'],
      [0.5, -0.5, 'stops'],
      [NaN, 1, 'stops'],
      [-1, Infinity, 'stops'],
      [-100, 20, 'percent'],
    ] as const) {
      const result = ownBand(lower, upper, unit);
      expect(!result.ok && result.problem.length > 20).toBe(true);
    }
    expect(() => percentToStops(-100)).toThrow(RangeError);
  });
});

describe('a firing far from its mark', () => {
  const ask = (time: number, label: string) => farFromMark(seconds(time), mark(label), LEAF_SERIES, 'marked');

  it('raises a question from 0.75 stop, and names the mark it comes nearest to', () => {
    expect(ask(1 / 60, '1/60')).toBeNull();
    expect(ask(2 ** 0.74 / 500, '1/500')).toBeNull();
    expect(ask(2 ** 0.76 / 500, '1/500')?.nearest?.label).toBe('1/250');
    expect(ask(1 / 30, '1/60')).toMatchObject({ error: 1, nearest: { label: '1/30' } });
    expect(ask(1 / 60, '1/30')).toMatchObject({ error: -1, nearest: { label: '1/60' } });
  });

  it('names no other mark when its own is still the nearest', () => {
    expect(ask(4, '1')).toMatchObject({ error: 2, nearest: null });
  });

  it('asks nothing at B', () => {
    expect(ask(7, 'B')).toBeNull();
  });

  it('asks in words', () => {
    expect(farFromMarkQuestion('1/60', ask(1 / 30, '1/60')!)).toBe(
      'This firing was 1.00 stop slower than 1/60, near 1/30. Does the dial stand at 1/60?',
    );
    expect(farFromMarkQuestion('1', ask(8, '1')!)).toBe(
      'This firing was 3.00 stops slower than 1. Does the dial stand at 1?',
    );
  });
});

describe('verdict on a job', () => {
  const judged = (label: string, verdict: Verdict, meanError: number | null, n = 5) => ({
    label,
    verdict,
    statistics: { n, meanError: meanError === null ? null : stops(meanError) },
    least: 5,
  });

  it('names every mark once, the worst first, and is no single word', () => {
    const marks = [
      judged('B', 'no time', null),
      judged('1', 'within', 0.1),
      judged('1/2', 'did not fire', null, 0),
      judged('1/30', 'too few', 0.1, 2),
      judged('1/60', 'within', 0.2),
      judged('1/125', 'fast', -0.61),
      judged('1/500', 'slow', 0.773),
    ];
    const groups = jobVerdict(marks);
    expect(groups.map(({ sentence }) => sentence)).toEqual([
      'Did not fire: 1/2.',
      'Slow: 1/500 (0.77 stop).',
      'Fast: 1/125 (0.61 stop).',
      'Too few firings to say: 1/30 (2 of 5 firings).',
      'Within its band: 1, 1/60.',
      'No time to compare with: B.',
    ]);
    const listed = groups.flatMap(({ marks }) => marks.map(({ label }) => label));
    expect(listed.toSorted()).toEqual(marks.map(({ label }) => label).toSorted());
  });

  it('says once what holds for several marks alike', () => {
    const fewer = [judged('1/30', 'too few', 0.1, 2), judged('1/60', 'too few', 0.3, 2)];
    expect(jobVerdict(fewer)[0]!.sentence).toBe('Too few firings to say: 1/30, 1/60 (2 of 5 firings each).');
    expect(jobVerdict([...fewer, judged('1/8', 'too few', 0, 1)])[0]!.sentence).toBe(
      'Too few firings to say: 1/30 (2 of 5 firings), 1/60 (2 of 5 firings), 1/8 (1 of 5 firings).',
    );
  });

  it('puts the verdicts of a guard band in their places, and what it would take beside the undecided', () => {
    const marks = [
      judged('1', 'conditional pass', 0.3),
      judged('1/2', 'within', 0.1),
      judged('1/4', 'conditional fast', -0.36),
      { ...judged('1/8', 'undecided', 0.2), firingsNeeded: 12 },
      { ...judged('1/15', 'undecided', 0.2), firingsNeeded: null },
      judged('1/30', 'conditional slow', 0.35),
      judged('1/60', 'slow', 0.9),
    ];
    expect(jobVerdict(marks).map(({ sentence }) => sentence)).toEqual([
      'Slow: 1/60 (0.90 stop).',
      'Conditional fail, slow: 1/30 (0.35 stop).',
      'Conditional fail, fast: 1/4 (0.36 stop).',
      'Cannot be decided with this many firings: 1/8 (at least about 12 are needed), 1/15 (no number would do, the rest of the uncertainty is too large).',
      'Conditional pass: 1.',
      'Within its band: 1/2.',
    ]);
  });

  it('has a heading for every verdict and loses no mark, whatever its verdict', () => {
    const all: readonly Verdict[] = [
      'within',
      'slow',
      'fast',
      'conditional pass',
      'conditional slow',
      'conditional fast',
      'undecided',
      'too few',
      'did not fire',
      'stuck open',
      'not tried',
      'no time',
    ];
    expect(new Set(all.map(verdictHeading)).size).toBe(all.length);
    expect(jobVerdict(all.map((verdict) => judged(verdict, verdict, 0.1)))).toHaveLength(all.length);
  });

  it('is empty for no marks', () => {
    expect(jobVerdict([])).toEqual([]);
  });
});

describe('words', () => {
  it('sign stops with a true minus, and nothing with neither', () => {
    expect(signedStops(stops(0.184))).toBe('+0.18');
    expect(signedStops(stops(-0.42))).toBe('−0.42');
    expect(signedStops(stops(-0.004))).toBe('0.00');
    expect(signedStops(stops(-0.004), 3)).toBe('−0.004');
  });

  it('count stops', () => {
    expect(sizeInStops(stops(-0.42))).toBe('0.42 stop');
    expect(sizeInStops(stops(1.004))).toBe('1.00 stop');
    expect(sizeInStops(stops(1.25))).toBe('1.25 stops');
  });

  it('write bands', () => {
    expect(BAND_PRESETS.map(({ band }) => bandWords(band))).toEqual(['±1/3 stop', '±1/2 stop', '±1 stop']);
    expect(bandWords({ lower: stops(-0.4), upper: stops(0.4) })).toBe('±0.40 stop');
    expect(bandWords({ lower: stops(-0.2), upper: stops(0.5) })).toBe('−0.20 to +0.50 stop');
    // A limit is printed as it is applied.
    expect(bandWords({ lower: stops(-0.125), upper: stops(0.125) })).toBe('±0.125 stop');
    expect(bandWords({ lower: percentToStops(-20), upper: stops(0.5) })).toBe('−0.3219 to +0.50 stop');
  });

  it('write bands in percent of the time', () => {
    const percent = (lower: number, upper: number) =>
      bandWords({ lower: percentToStops(lower), upper: percentToStops(upper) }, '%');
    expect(percent(-20, 25)).toBe('−20 to +25 %');
    expect(percent(-20, 20)).toBe('±20 %');
    expect(percent(0, 12.5)).toBe('0 to +12.5 %');
    expect(percent(-20, 19.96)).toBe('±20 %');
    expect(percent(5, 20)).toBe('+5 to +20 %');
    expect(bandWords(HALF, '%')).toBe('−29.3 to +41.4 %');
    // What is even in stops is a ratio and its inverse in percent.
    expect((1 + stopsToPercent(HALF.lower) / 100) * (1 + stopsToPercent(HALF.upper) / 100)).toBeCloseTo(
      1,
      12,
    );
  });

  it('say each verdict', () => {
    const say = (verdict: Verdict, meanError: number | null, n = 5) =>
      verdictWords(verdict, { n, meanError: meanError === null ? null : stops(meanError) }, 5);
    expect(say('within', 0.1)).toBe('within');
    expect(say('slow', 0.42)).toBe('0.42 stop slow');
    expect(say('fast', -1.31)).toBe('1.31 stops fast');
    expect(say('too few', 0, 2)).toBe('2 of 5 firings');
    expect(say('did not fire', null, 0)).toBe('did not fire');
    expect(say('no time', null)).toBe('no time to compare');
    expect(say('conditional pass', 0.3)).toBe('conditional pass');
    expect(say('conditional slow', 0.36)).toBe('conditional fail, 0.36 stop slow');
    expect(say('conditional fast', -0.36)).toBe('conditional fail, 0.36 stop fast');
    expect(verdictWords('undecided', { n: 3, meanError: stops(0) }, 3, 7)).toBe(
      'cannot be decided with this many firings; at least about 7 are needed',
    );
    expect(verdictWords('undecided', { n: 3, meanError: stops(0) }, 3)).toContain('no number would do');
    expect(verdictWords('too few', { n: 1, meanError: stops(0) }, 1)).toBe('1 of 2 firings');
    expect(verdictWords('too few', { n: 0, meanError: null }, 1)).toBe('0 of 1 firing');
    expect(notCountedWords('spoilt')).toBe('not counted: data was lost');
  });

  it('say whether it repeats', () => {
    expect(spreadWords('steady')).toBe('steady');
    expect(spreadWords('erratic')).toBe('erratic');
    expect(spreadWords('erratic', stops(0.21), stops(0.15))).toBe(
      'erratic: spread 0.210 stop, limit 0.15 stop',
    );
    // Two decimals would print 0.05 against 0.05.
    expect(spreadWords('erratic', stops(0.052), stops(0.05))).toBe(
      'erratic: spread 0.052 stop, limit 0.05 stop',
    );
    expect(spreadWords('erratic', stops(1.2), stops(1.05))).toBe(
      'erratic: spread 1.200 stops, limit 1.05 stops',
    );
    expect(spreadWords('too few')).toContain('too few firings');
    expect(spreadWords('no limit')).toContain('no limit');
  });

  it('name the rule, its source and its guard band', () => {
    expect(ruleWords('simple')).toMatch(/ILAC-G8:09\/2019.*w = 0/);
    expect(ruleWords('guard band')).toMatch(/w = U.*ILAC-G8:09\/2019/);
    // Either rule states its risk (ILAC-G8:09/2019: up to 50 % with w = 0, under 2.5 % with w = U).
    expect(ruleWords('simple')).toContain('up to half');
    expect(ruleWords('guard band')).toContain('risk under 2.5 %');
  });

  it('give a probability no more digits than it has', () => {
    expect([0, 0.004, 0.01, 0.5, 0.976, 0.99, 0.9901, 1].map(conformityWords)).toEqual([
      '< 1 %',
      '< 1 %',
      '1 %',
      '50 %',
      '98 %',
      '99 %',
      '> 99 %',
      '> 99 %',
    ]);
  });
});
