import { describe, expect, it } from 'vitest';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import {
  edgeInstant,
  effectiveTime,
  type FiringPlan,
  lastLight,
  openFraction,
  reboundTime,
  totalOpenTime,
} from '../../app/practice/firing-plan.ts';
import { PRACTICE_MARKS, practiceMark } from '../../app/practice/marks.ts';
import { Random } from '../../app/practice/random.ts';
import { closedAfter, GOVERNOR_LIMIT, planFiring, planHeldOpen } from '../../app/practice/shutter.ts';

const TIMED = PRACTICE_MARKS.filter((mark) => mark.marked !== null);
const EXERCISED = 5;
const RESTED = 3600;

function fired(
  label: string,
  condition: ShutterCondition,
  n: number,
  turns = 0,
  rest = EXERCISED,
): FiringPlan[] {
  const random = new Random(17);
  return Array.from({ length: n }, () =>
    planFiring({ condition, governorQuarterTurns: turns }, practiceMark(label), random, rest),
  );
}

const stopsOff = (plan: FiringPlan, label: string) =>
  Math.log2(effectiveTime(plan) / practiceMark(label).marked!);
const mean = (values: readonly number[]) => values.reduce((sum, x) => sum + x, 0) / values.length;
const sd = (values: readonly number[]) =>
  Math.sqrt(values.reduce((sum, x) => sum + (x - mean(values)) ** 2, 0) / (values.length - 1));
const meanStops = (label: string, condition: ShutterCondition, turns = 0, rest = EXERCISED) =>
  mean(
    fired(label, condition, 200, turns, rest)
      .filter((plan) => plan.outcome === 'exposes')
      .map((plan) => stopsOff(plan, label)),
  );

describe('a serviced shutter', () => {
  it.each(TIMED.map((mark) => mark.label))('is near its mark and steady at %s', (label) => {
    const stops = fired(label, 'serviced', 200).map((plan) => stopsOff(plan, label));
    expect(Math.abs(mean(stops))).toBeLessThan(1 / 3);
    expect(Math.abs(mean(stops) - practiceMark(label).camOffset)).toBeLessThan(0.005);
    expect(sd(stops)).toBeGreaterThan(0.004);
    expect(sd(stops)).toBeLessThan(0.03);
  });

  it('opens fully at every mark, fires every time, and gives no light after closing', () => {
    for (const { label } of TIMED) {
      for (const plan of fired(label, 'serviced', 50)) {
        expect(plan.outcome).toBe('exposes');
        expect(plan.fullyOpen).toBeGreaterThan(0);
        expect(openFraction(plan, plan.opening.duration)).toBe(1);
        expect(reboundTime(plan)).toBe(0);
      }
    }
  });

  it('is no worse after a rest', () => {
    expect(meanStops('1/60', 'serviced', 0, RESTED)).toBe(meanStops('1/60', 'serviced'));
  });

  it('repeats with the seed', () => {
    expect(fired('1/125', 'gummed', 5)).toEqual(fired('1/125', 'gummed', 5));
  });
});

describe('the governor', () => {
  it.each(TIMED.map((mark) => mark.label))(
    'turned in lengthens %s step by step, if it is governed',
    (label) => {
      const steps = Array.from({ length: 2 * GOVERNOR_LIMIT + 1 }, (_, n) => n - GOVERNOR_LIMIT);
      const times = steps.map((turns) => mean(fired(label, 'serviced', 20, turns).map(effectiveTime)));
      for (let n = 1; n < times.length; n++) {
        if (practiceMark(label).governor === 'none') expect(times[n]).toBe(times[0]);
        else expect(times[n]).toBeGreaterThan(times[n - 1]!);
      }
    },
  );

  it('shifts the faster governed marks by about the same milliseconds', () => {
    const shift = (label: string) =>
      mean(fired(label, 'serviced', 50, 2).map(effectiveTime)) -
      mean(fired(label, 'serviced', 50).map(effectiveTime));
    for (const label of ['1/125', '1/60', '1/30']) {
      expect(shift(label)).toBeGreaterThan(0.9e-3);
      expect(shift(label)).toBeLessThan(1.8e-3);
    }
    expect(shift('1')).toBeGreaterThan(20e-3); // here the share of the governor's own time counts
  });
});

describe('conditions', () => {
  it('gummed: slow marks long and erratic, the first after a rest the longest', () => {
    for (const label of ['1', '1/2', '1/8']) {
      const stops = fired(label, 'gummed', 200)
        .filter((plan) => plan.outcome === 'exposes')
        .map((plan) => stopsOff(plan, label));
      expect(mean(stops)).toBeGreaterThan(0.35);
      expect(sd(stops)).toBeGreaterThan(0.12);
    }
    for (const label of ['1/8', '1/60', '1/500']) {
      expect(meanStops(label, 'gummed', 0, RESTED) - meanStops(label, 'gummed')).toBeGreaterThan(0.2);
    }
  });

  it('gummed: sometimes does not fire, stalls or sticks open at the marks with the pallet', () => {
    const plans = fired('1/2', 'gummed', 1000);
    const share = (of: (plan: FiringPlan) => boolean) => plans.filter(of).length / plans.length;
    expect(share((plan) => plan.outcome === 'does not fire')).toBeCloseTo(0.02, 1.5);
    expect(share((plan) => plan.outcome === 'sticks open')).toBeCloseTo(0.04, 1.5);
    const stalled = share((plan) => plan.outcome === 'exposes' && effectiveTime(plan) > 1.1);
    expect(stalled).toBeGreaterThan(0.03);
    expect(stalled).toBeLessThan(0.12);
    expect(fired('1/60', 'gummed', 500).some((plan) => plan.outcome === 'sticks open')).toBe(false);
    expect(fired('1/60', 'gummed', 500, 0, RESTED).some((plan) => plan.outcome === 'does not fire')).toBe(
      true,
    );
  });

  it('weak main spring: fast marks slow with long edges, slow marks little changed', () => {
    expect(meanStops('1/500', 'weak main spring') - meanStops('1/500', 'serviced')).toBeGreaterThan(0.5);
    expect(meanStops('1', 'weak main spring') - meanStops('1', 'serviced')).toBeLessThan(0.15);
    const edges = (condition: ShutterCondition) =>
      mean(fired('1/500', condition, 50).map((plan) => plan.opening.duration));
    expect(edges('weak main spring') / edges('serviced')).toBeCloseTo(1.7, 1);
    const efficiency = (condition: ShutterCondition) =>
      mean(fired('1/125', condition, 50).map((plan) => effectiveTime(plan) / totalOpenTime(plan)));
    expect(efficiency('weak main spring')).toBeLessThan(efficiency('serviced') - 0.02);
  });

  it('rebound: light comes back after closing, within 60 ms', () => {
    for (const plan of fired('1/60', 'rebound', 100)) {
      expect(reboundTime(plan)).toBeGreaterThan(50e-6);
      expect(plan.rebound!.height).toBeGreaterThan(0.05);
      expect(lastLight(plan) - totalOpenTime(plan)).toBeLessThan(60e-3);
    }
  });

  it('contact: closes about as the blades reach full open, with bounce, and parts after closing', () => {
    for (const label of ['1', '1/60', '1/500']) {
      for (const plan of fired(label, 'serviced', 100)) {
        const [first, ...rest] = plan.contact;
        expect(first!.closed).toBe(true);
        expect(openFraction(plan, first!.at)).toBeGreaterThan(0.7);
        expect(first!.at).toBeLessThan(plan.opening.duration + 0.5e-3);
        expect(rest.map((change) => change.closed)).toEqual([false, true, false, true, false]);
        const times = plan.contact.map((change) => change.at);
        expect(times).toEqual([...times].sort((a, b) => a - b));
        expect(times.at(-1)).toBeGreaterThan(totalOpenTime(plan));
      }
    }
  });

  it('flash contact late: at 1/125 it closes when the blades are closing or closed; dead: never', () => {
    for (const plan of fired('1/125', 'flash contact late', 100)) {
      expect(plan.contact[0]!.at).toBeGreaterThan(plan.opening.duration + plan.fullyOpen);
      expect(plan.contact.at(-1)!.closed).toBe(false);
    }
    for (const plan of fired('1/125', 'contact dead', 50)) expect(plan.contact).toEqual([]);
  });
});

describe('flash contact at M, and one that bounces', () => {
  it('closes about 16 ms before the blades are 80 % open, at every mark', () => {
    const random = new Random(18);
    for (const label of ['1', '1/60', '1/500']) {
      const leads = Array.from({ length: 100 }, () => {
        const settings = { condition: 'serviced', governorQuarterTurns: 0, sync: 'M' } as const;
        const plan = planFiring(settings, practiceMark(label), random, EXERCISED);
        return edgeInstant(plan.opening, 0.8) - plan.contact[0]!.at;
      });
      expect(mean(leads)).toBeCloseTo(0.016, 4);
      expect(sd(leads)).toBeGreaterThan(0.0002);
      expect(sd(leads)).toBeLessThan(0.0004);
    }
  });

  it('breaks nine times, settles, and parts after the blades have closed', () => {
    for (const label of ['1/60', '1/500', 'B']) {
      for (const open of fired(label, 'contact bounces', 30)) {
        const plan = label === 'B' ? closedAfter(open, 0.05) : open;
        const times = plan.contact.map(({ at }) => at);
        expect(plan.contact.map(({ closed }) => closed)).toEqual(times.map((_, n) => n % 2 === 0));
        expect(times).toHaveLength(20);
        expect(times).toEqual([...times].sort((a, b) => a - b));
        expect(times[19]! - times[18]!).toBeGreaterThan(1e-3);
        expect(times[18]! - times[0]!).toBeLessThan(4.5e-3);
        expect(times[19]).toBeGreaterThan(totalOpenTime(plan));
      }
    }
  });
});

describe('conditions that show as patterns across the marks', () => {
  /** Change of the mean against the serviced shutter, in stops. */
  const change = (label: string, condition: ShutterCondition) =>
    meanStops(label, condition) - meanStops(label, 'serviced');

  it('escapement worn: governed marks long by about the same ratio, the others not at all', () => {
    for (const label of ['1', '1/8', '1/15', '1/60'])
      expect(change(label, 'escapement worn')).toBeCloseTo(0.53, 0.9);
    expect(change('1/250', 'escapement worn')).toBe(0);
  });

  it('pallet dirty: only the marks that use it', () => {
    expect(change('1/8', 'pallet dirty')).toBeGreaterThan(0.4);
    expect(change('1/15', 'pallet dirty')).toBe(0);
  });

  it('governor bypassed: all governed marks open for the same short time', () => {
    for (const { label, governor } of TIMED.filter((mark) => mark.governor !== 'none')) {
      expect(governor).not.toBe('none');
      const times = fired(label, 'governor bypassed', 50).map(effectiveTime);
      expect(mean(times)).toBeCloseTo(3.2e-3, 4);
    }
  });

  it('blade drag: the same milliseconds more at every mark, edges twice as long', () => {
    const longer = (label: string) =>
      mean(fired(label, 'blade drag', 200).map(effectiveTime)) -
      mean(fired(label, 'serviced', 200).map(effectiveTime));
    for (const label of ['1/500', '1/250', '1/125', '1/60']) {
      expect(longer(label)).toBeGreaterThan(1.2e-3);
      expect(longer(label)).toBeLessThan(2.1e-3);
    }
    expect(mean(fired('1/60', 'blade drag', 50).map((plan) => plan.opening.duration))).toBeCloseTo(2.8e-3, 4);
  });

  it('blades not fully open: short of full light where nothing holds them open', () => {
    const highest = (label: string) => {
      const [plan] = fired(label, 'blades not fully open', 1);
      return openFraction(plan!, plan!.opening.duration + plan!.fullyOpen / 2);
    };
    expect(['1/500', '1/125', '1/60', '1'].map(highest)).toEqual([0.85, 0.85, 1, 1]);
  });

  it('blade not closed: a few percent of light for about half a second', () => {
    for (const plan of fired('1/60', 'blade not closed', 50)) {
      const light = openFraction(plan, totalOpenTime(plan) + 0.1);
      expect(light).toBeGreaterThan(0.02);
      expect(light).toBeLessThan(0.045);
      expect(openFraction(plan, totalOpenTime(plan) + 1)).toBe(0);
    }
  });

  it.each([
    ['cam step worn', '1/30', -0.6],
    ['booster not engaged', '1/500', 0.95],
    ['marks out of order', '1/250', 1.4],
  ] as const)('%s: %s alone is off', (condition, own, stops) => {
    for (const { label } of TIMED) {
      if (label === own) expect(change(label, condition)).toBeCloseTo(stops, 2);
      else expect(change(label, condition)).toBe(0);
    }
  });

  it('all slow: every mark by half a stop', () => {
    for (const { label } of TIMED) expect(change(label, 'all slow')).toBeCloseTo(0.5, 2);
  });

  it('warming: each firing a little shorter than the one before, until it is warm', () => {
    const settings = (firings: number) =>
      ({ condition: 'warming', governorQuarterTurns: 0, firings }) as const;
    const afterFirings = (firings: number) =>
      stopsOff(planFiring(settings(firings), practiceMark('1/60'), new Random(3)), '1/60');
    expect(afterFirings(0) - afterFirings(20)).toBeCloseTo(0.3, 1);
    expect(afterFirings(0) - afterFirings(60)).toBeCloseTo(0.9, 1);
    expect(afterFirings(90)).toBe(afterFirings(60));
  });

  it('mounting strain: everything a little slower, fast marks most', () => {
    expect(change('1/500', 'mounting strain')).toBeGreaterThan(0.3);
    expect(change('1', 'mounting strain')).toBeGreaterThan(0.1);
    expect(change('1', 'mounting strain')).toBeLessThan(0.2);
  });

  it('B hangs: B sticks open more often than not, timed marks never', () => {
    const stuck = (label: string) =>
      fired(label, 'B hangs', 200).filter((plan) => plan.outcome === 'sticks open').length;
    expect(stuck('B')).toBeGreaterThan(120);
    expect(stuck('B')).toBeLessThan(180);
    expect(stuck('1/60')).toBe(0);
  });
});

describe('B and blades held open', () => {
  it('stays open until it is known when it closes', () => {
    const [plan] = fired('B', 'serviced', 1);
    expect(plan!.fullyOpen).toBe(Number.POSITIVE_INFINITY);
    expect(plan!.contact.at(-1)!.closed).toBe(true);
    const closed = closedAfter(plan!, 2);
    expect(effectiveTime(closed)).toBeCloseTo(2 + (plan!.opening.duration + plan!.closing.duration) / 3, 9);
    expect(closed.contact.slice(0, -1)).toEqual(plan!.contact);
    expect(closed.contact.at(-1)!.closed).toBe(false);
    expect(closed.contact.at(-1)!.at).toBeGreaterThan(totalOpenTime(closed));
  });

  it('held open by hand it gives its time and no contact', () => {
    expect(planHeldOpen(0.5).fullyOpen).toBe(0.5);
    expect(planHeldOpen(0.5).contact).toEqual([]);
  });

  it('has no mark that is not engraved', () => {
    expect(() => practiceMark('1/1000')).toThrow(/no mark “1\/1000”/);
  });
});
