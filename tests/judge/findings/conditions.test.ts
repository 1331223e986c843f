/** Each pattern as the practice shutter's conditions give it, and what its sentences say. */
import { describe, expect, it } from 'vitest';
import type { Finding, FindingCode } from '../../../app/judge/finding.ts';
import { findingsOf } from '../../../app/judge/findings/findings.ts';
import { FINDING_THRESHOLDS } from '../../../app/judge/findings/thresholds.ts';
import { type JobOptions, simulatedJob } from './simulated-job.ts';

const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
const GOVERNED = ['1', '1/2', '1/4', '1/8', '1/15', '1/30', '1/60', '1/125'];
const WITH_B = ['B', ...GOVERNED, '1/250', '1/500'];

interface Case {
  readonly code: FindingCode;
  readonly options: Omit<JobOptions, 'seed'>;
  /** The marks it names, and further ones that it names in some jobs. */
  readonly marks: readonly string[];
  readonly perhaps?: readonly string[];
  /** In its sentences. */
  readonly says: RegExp;
}

const CASES: readonly Case[] = [
  {
    code: 'governor engagement',
    options: { governorQuarterTurns: 6 },
    marks: GOVERNED,
    says: /\+\d\.\d ms at 1\/60, \+\d\.\d ms at 1\/125\).*engages too far: less engagement makes the governed marks faster/,
  },
  {
    code: 'governor engagement',
    options: { governorQuarterTurns: -6 },
    marks: GOVERNED,
    says: /engages too little/,
  },
  {
    code: 'escapement',
    options: { condition: 'escapement worn' },
    marks: GOVERNED,
    says: /same ratio, \+0\.5/,
  },
  {
    code: 'pallet',
    options: { condition: 'pallet dirty' },
    marks: ['1', '1/2', '1/4', '1/8'],
    says: /use the pallet are slow by about \+0\.[45]\d EV \(between \+0\.\d\d EV and/,
  },
  {
    code: 'governor bypassed',
    options: { condition: 'governor bypassed' },
    marks: GOVERNED,
    says: /bypassed or not engaged/,
  },
  {
    code: 'slow marks erratic',
    options: { condition: 'gummed' },
    marks: ['1', '1/2', '1/4', '1/8', '1/15'],
    says: /dirty or worn governor/,
  },
  {
    code: 'gummed lubricant',
    options: { condition: 'gummed', rests: ['1/15', '1/30', '1/60', '1/125', '1/250'] },
    marks: [],
    // Some of these firings don't come about: it is gummed.
    perhaps: ['1/15', '1/30', '1/60', '1/125', '1/250'],
    says: /(three|four|five) firings after a rest/i,
  },
  {
    code: 'blade drag',
    options: { condition: 'blade drag' },
    marks: ['1/60', '1/125', '1/250', '1/500'],
    says: /the blades take 2\.\d\d ms to open and the efficiency is 0\.\d\d/,
  },
  {
    code: 'blade drag',
    options: { condition: 'weak main spring' },
    marks: ['1/60', '1/125', '1/250', '1/500'],
    perhaps: ['1/30'],
    says: /the main spring comes last/,
  },
  {
    code: 'blade drag',
    options: { condition: 'blades not fully open' },
    marks: ['1/125', '1/250', '1/500'],
    says: /reached only 85 % of the open light/,
  },
  {
    code: 'one mark off',
    options: { condition: 'cam step worn' },
    marks: ['1/30'],
    says: /1\/30 alone departs from the others, by −0\.\d\d EV/,
  },
  {
    code: 'neighbours equal',
    options: { condition: 'booster not engaged' },
    marks: ['1/250', '1/500'],
    says: /booster spring, if the shutter has one, does not engage; at the very top it is often ordinary ageing/,
  },
  {
    code: 'order inverted',
    options: { condition: 'marks out of order' },
    marks: ['1/125', '1/250'],
    says: /1\/250 opens longer than 1\/125, by \+0\.\d\d EV/,
  },
  {
    code: 'blade rebound',
    options: { condition: 'rebound' },
    marks: [...GOVERNED, '1/250', '1/500'],
    says: /50 firings of 50 light came back after closing; at its highest it was 1\d\.\d %.*adds up to 0\.[123]\d EV/s,
  },
  {
    code: 'steady glow',
    options: { condition: 'blade not closed' },
    marks: [...GOVERNED, '1/250', '1/500'],
    says: /stayed on after closing, 3\.\d % .* Rule out stray light first/s,
  },
  {
    code: 'all marks off',
    options: { condition: 'all slow' },
    marks: [...GOVERNED, '1/250', '1/500'],
    says: /All ten marks are slow by about the same, \+0\.5.*the right series is set/s,
  },
  {
    code: 'drift over the series',
    options: { condition: 'warming' },
    marks: [...GOVERNED, '1/250', '1/500'],
    says: /From firing 1 to firing 50 the times grew shorter by −/,
  },
  {
    code: 'bench and body differ',
    options: {
      mountings: ['bare', 'in the body'],
      change: ({ mark, mounting }) =>
        mounting === 'in the body' && mark.label === '1/500' ? { stops: 0.3 } : {},
    },
    marks: ['1/500'],
    says: /\+0\.[23]\d EV at 1\/500/,
  },
  {
    code: 'B or T hangs',
    options: { condition: 'B hangs', labels: WITH_B },
    marks: ['B'],
    says: /never closed.*lever or the pallet that serves B/s,
  },
];

const text = ({ seen, suggests }: Finding) => `${seen} ${suggests}`;

describe.each(CASES)('$code: $options', ({ code, options, marks, perhaps = [], says }) => {
  const jobs = SEEDS.map((seed) => simulatedJob({ seed, ...options }));
  // Within the tests, since what runs while they are collected is out of reach for planted faults.
  const foundIn = () => jobs.map((job) => findingsOf(job).find((finding) => finding.code === code));

  it('is found in at least nine jobs of ten, with its marks and words', () => {
    const named = foundIn().filter((finding) => finding !== undefined);
    expect(named.length).toBeGreaterThanOrEqual(9);
    for (const finding of named) {
      expect(finding.marks.filter((mark) => !perhaps.includes(mark))).toEqual(marks);
      expect(text(finding)).toMatch(says);
    }
  });

  it('shows both of its limits, and rests on firings that are there', () => {
    const limits = FINDING_THRESHOLDS[code];
    for (const [n, finding] of foundIn().entries()) {
      if (finding === undefined) continue;
      expect(finding.effect).toMatch(/\d|two|three|four|five/);
      expect(finding.threshold).toMatch(/\d|two/);
      if (limits.significance === null || finding.significance === null)
        expect(finding.significance).toBeNull();
      else expect(finding.significance).toBeLessThanOrEqual(limits.significance);
      const ids = jobs[n]!.marks.flatMap(({ readings }) => readings.map(({ id }) => id));
      expect(finding.readings.length).toBeGreaterThanOrEqual(2);
      expect(new Set(finding.readings).size).toBe(finding.readings.length);
      for (const id of finding.readings) expect(ids).toContain(id);
    }
  });
});

describe('conditions that are no fault of a kind to find', () => {
  it.each(['serviced', 'flash contact late', 'contact dead'] as const)('%s shows nothing', (condition) => {
    for (const seed of SEEDS) {
      expect(findingsOf(simulatedJob({ seed, condition, labels: WITH_B }))).toEqual([]);
    }
  });
});

describe('the sentences', () => {
  const everything = () => CASES.flatMap(({ options }) => findingsOf(simulatedJob({ seed: 1, ...options })));

  it('suggest, and never claim or tell anyone to bend or oil', () => {
    expect(new Set(everything().map(({ code }) => code)).size).toBe(Object.keys(FINDING_THRESHOLDS).length);
    for (const finding of everything()) {
      expect(finding.suggests).toMatch(/^Suggests /);
      expect(text(finding)).not.toMatch(/\b(bend|stretch|certain|prove[sn]?|lubricate|apply)\b/i);
      expect(text(finding)).not.toMatch(/\boil (it|the)\b|drop of/i);
      expect(text(finding)).not.toMatch(/undefined|NaN|Infinity|null/);
      expect(finding.seen).toMatch(/\d|B/);
      expect(finding.seen).toMatch(/\.$/);
      expect(finding.suggests).toMatch(/\.$/);
    }
  });

  it('put inspection, cleaning or a check of the set-up before any adjustment', () => {
    for (const { suggests } of everything()) {
      expect(suggests).toMatch(/inspect|clean|check|look|set it anew/i);
      const adjust = suggests.search(/adjust|changed|main spring/);
      const first = suggests.search(/inspect|clean|check|look/i);
      if (adjust >= 0) expect(first).toBeLessThan(adjust);
    }
  });
});
