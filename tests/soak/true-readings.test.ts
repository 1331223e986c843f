/** The judge of the soak run, with false readings planted for it to find. */
import { describe, expect, it } from 'vitest';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import { practiceMark } from '../../app/practice/marks.ts';
import { Random } from '../../app/practice/random.ts';
import { planFiring } from '../../app/practice/shutter.ts';
import { trueFiring } from '../../app/practice/true-firing.ts';
import type { KeptReading } from './kept-readings.ts';
import { type Fired, holdAgainstTruth } from './true-readings.ts';

const START = Date.parse('2026-11-25T10:00:00Z');

function fired(mark: string, n: number, condition: ShutterCondition = 'serviced'): Fired {
  const settings = { condition, governorQuarterTurns: 0 };
  const plan = planFiring(settings, practiceMark(mark), new Random(n), 1);
  const facts = { mark, condition, governorQuarterTurns: 0, iris: 0, selfTimer: false };
  return {
    orderedAt: START + 2000 * n,
    truth: trueFiring({ ...facts, plan, releaseCycle: 0, startCycle: 0 }),
  };
}

const levels: KeptReading['levels'] = {
  dark: 12,
  noise: 1,
  darkSamples: 8000,
  open: 212,
  openOrigin: 'plateau',
  openUncertainty: 0.02,
};

/** What an honest page keeps of a firing. */
function kept({ orderedAt, truth }: Fired, change: Partial<KeptReading> = {}): KeptReading {
  return {
    id: `reading ${orderedAt}`,
    jobId: 'job',
    mark: truth.mark!,
    at: orderedAt + 40,
    spoilt: null,
    truncated: 'no',
    effective: truth.effectiveTime,
    levels,
    remarks: [],
    ppm: 0,
    whole: true,
    ...change,
  };
}

const day = ['1/4', '1/60', '1/500', '1/60'].map((mark, n) => fired(mark, n));
const findings = (readings: readonly KeptReading[], of = day) =>
  holdAgainstTruth(of, readings).map(({ finding, reason }) => reason || finding);

describe('a reading held against the truth', () => {
  it('is true as read, whatever the correction of the clock', () => {
    expect(findings(day.map((one) => kept(one)))).toEqual(['true', 'true', 'true', 'true']);
    const fast = day.map((one) => kept(one, { effective: one.truth.effectiveTime / 1.002, ppm: 2000 }));
    expect(findings(fast)).toEqual(['true', 'true', 'true', 'true']);
    const uncorrected = kept(day[0]!, { effective: day[0]!.truth.effectiveTime / 1.002 });
    expect(findings([uncorrected])[0]).toMatch(/^it read/);
  });

  it('is false beyond 5 µs and 0.2 ‰, and with a loose open level correspondingly later', () => {
    const time = day[0]!.truth.effectiveTime;
    const by = (share: number, uncertainty = 0) =>
      findings([
        kept(day[0]!, { effective: time * (1 + share), levels: { ...levels, openUncertainty: uncertainty } }),
      ])[0];
    expect(by(2e-4)).toBe('true');
    expect(by(3e-4)).toMatch(/^it read/);
    expect(by(-3e-4)).toMatch(/^it read/);
    expect(by(0.02, 0.4)).toMatch(/^it read/);
    expect(by(0.009, 0.4)).toBe('true');
  });

  it('is false at another mark, of a firing read already, and of none', () => {
    expect(findings([kept(day[1]!, { mark: '1/30' })])).toEqual(['the dial stood at 1/60']);
    const twice = [kept(day[1]!), kept(day[1]!, { id: 'again', at: day[1]!.orderedAt + 300 })];
    expect(findings(twice)).toEqual(['true', 'its firing has been read already']);
    expect(findings([kept(day[0]!, { at: START - 1 })])).toEqual(['nothing had been fired']);
  });

  it('is not judged when it is spoilt or has no time', () => {
    const none = [
      kept(day[0]!, { spoilt: 'data damaged', effective: null }),
      kept(day[1]!, { effective: null }),
      kept(day[2]!, { truncated: 'end' }),
    ];
    expect(findings(none)).toEqual(['spoilt', 'no time', 'no time']);
  });

  it('may be too long where it says that there was no open level, and never too short', () => {
    const time = day[2]!.truth.effectiveTime;
    const said = (effective: number) => kept(day[2]!, { effective, remarks: ['no open level'] });
    expect(findings([said(1.2 * time)])).toEqual(['true']);
    expect(findings([said(0.9 * time)])[0]).toMatch(/^it read/);
  });

  it('of blades that open short is right against their own plateau, or against the reference level', () => {
    const short = fired('1/250', 5, 'blades not fully open');
    expect(short.truth.plan.stroke).toBe(0.85);
    const own = short.truth.effectiveTime / 0.85;
    const against = (openOrigin: 'plateau' | 'reference', effective: number) =>
      findings([kept(short, { effective, levels: { ...levels, openOrigin } })], [short])[0];
    expect(against('plateau', own)).toBe('true');
    expect(against('reference', short.truth.effectiveTime)).toBe('true');
    expect(against('reference', own)).toMatch(/^it read/);
  });
});
