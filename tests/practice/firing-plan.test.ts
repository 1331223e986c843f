import { describe, expect, it } from 'vitest';
import {
  edgeInstant,
  effectiveTime,
  type FiringPlan,
  halfHeightTime,
  lastLight,
  openFraction,
  reboundTime,
  timeAbove,
  totalOpenTime,
} from '../../app/practice/firing-plan.ts';
import { Random } from '../../app/practice/random.ts';

const plan = (change: Partial<FiringPlan> = {}): FiringPlan => ({
  outcome: 'exposes',
  opening: { shape: 'square', duration: 1.5e-3 },
  fullyOpen: 4e-3,
  closing: { shape: 'square', duration: 2e-3 },
  stroke: 1,
  rebound: null,
  glow: null,
  contact: [],
  ...change,
});

/** Simpson's rule between the instants at which the curve has corners: exact for parabolas. */
function integral(of: FiringPlan): number {
  const { opening, fullyOpen, closing, rebound, glow } = of;
  const corners = [0, opening.duration, opening.duration + fullyOpen];
  corners.push(corners[2]! + closing.duration);
  if (rebound) corners.push(corners[3]! + rebound.delay, corners[3]! + rebound.delay + rebound.duration);
  if (glow) corners.push(corners[3]! + glow.duration);
  let sum = 0;
  for (let n = 1; n < corners.length; n++) {
    const [from, to] = [corners[n - 1]!, corners[n]!];
    const inside = (x: number) => openFraction(of, from + (to - from) * x);
    sum += ((to - from) / 6) * (inside(1e-12) + 4 * inside(0.5) + inside(1 - 1e-12));
  }
  return sum;
}

/** Length of the time above a fraction, by bisection on the function itself. */
function lengthAbove(of: FiringPlan, fraction: number): number {
  const crossing = (dark: number, lit: number) => {
    for (let step = 0; step < 80; step++) {
      const middle = (dark + lit) / 2;
      if (openFraction(of, middle) > fraction) lit = middle;
      else dark = middle;
    }
    return lit;
  };
  const open = of.opening.duration + of.fullyOpen / 2;
  return crossing(open + of.fullyOpen / 2 + of.closing.duration, open) - crossing(0, open);
}

describe('a planned firing', () => {
  it('has the exact figures of its own curve, whatever its shape', () => {
    const random = new Random(2);
    for (let n = 0; n < 200; n++) {
      const shape = () => (random.chance(0.5) ? 'straight' : 'square');
      const of = plan({
        opening: { shape: shape(), duration: 1e-4 + 3e-3 * random.uniform() },
        fullyOpen: random.chance(0.2) ? 1e-9 : 1e-2 * random.uniform(),
        closing: { shape: shape(), duration: 1e-4 + 3e-3 * random.uniform() },
        stroke: random.chance(0.5) ? 1 : 0.6 + 0.4 * random.uniform(),
        rebound: random.chance(0.5)
          ? {
              delay: 1e-3 * random.uniform(),
              duration: 1e-4 + 3e-3 * random.uniform(),
              height: random.uniform(),
            }
          : null,
      });
      expect(Math.abs(effectiveTime(of) + reboundTime(of) - integral(of))).toBeLessThan(1e-12);
      expect(Math.abs(halfHeightTime(of) - lengthAbove(of, 0.5))).toBeLessThan(1e-12);
      const high = 0.95 * of.stroke;
      expect(Math.abs(timeAbove(of, high) - lengthAbove(of, high))).toBeLessThan(1e-12);
    }
  });

  it('is dark before first light and after last light, and open in between', () => {
    const of = plan();
    expect(openFraction(of, -1e-9)).toBe(0);
    expect(openFraction(of, 0)).toBe(0);
    expect(openFraction(of, 1e-6)).toBeGreaterThan(0);
    expect(openFraction(of, 3e-3)).toBe(1);
    expect(totalOpenTime(of)).toBeCloseTo(7.5e-3, 15);
    expect(lastLight(of)).toBeCloseTo(7.5e-3, 15);
    expect(openFraction(of, 7.5e-3 - 1e-6)).toBeGreaterThan(0);
    expect(openFraction(of, 7.5e-3 + 1e-9)).toBe(0);
  });

  it('reaches each fraction at the instant it says', () => {
    for (const shape of ['straight', 'square'] as const) {
      const of = plan({ opening: { shape, duration: 2e-3 } });
      for (const fraction of [0.01, 0.1, 0.5, 0.9]) {
        expect(openFraction(of, edgeInstant(of.opening, fraction))).toBeCloseTo(fraction, 12);
      }
    }
  });

  it('rebounds to its height after its delay, and counts that light apart', () => {
    const of = plan({ rebound: { delay: 1e-3, duration: 2e-3, height: 0.2 } });
    expect(openFraction(of, 8e-3)).toBe(0);
    expect(openFraction(of, 9.5e-3)).toBeCloseTo(0.2, 12);
    expect(openFraction(of, 10.5e-3 + 1e-9)).toBe(0);
    expect(lastLight(of)).toBeCloseTo(10.5e-3, 12);
    expect(effectiveTime(of)).toBe(effectiveTime(plan()));
    expect(reboundTime(of)).toBeCloseTo((2 / 3) * 0.2 * 2e-3, 15);
  });

  it('never goes beyond its stroke, and is never above it', () => {
    const of = plan({ stroke: 0.8 });
    expect(openFraction(of, 3e-3)).toBe(0.8);
    expect(effectiveTime(of)).toBeCloseTo(0.8 * effectiveTime(plan()), 15);
    expect(totalOpenTime(of)).toBe(totalOpenTime(plan()));
    expect(timeAbove(of, 0.4)).toBeCloseTo(timeAbove(plan(), 0.5), 15);
    expect(timeAbove(of, 0.8)).toBe(0);
  });

  it('glows after closing, rebound or not, and counts that light apart', () => {
    const glow = { height: 0.03, duration: 0.4 };
    const of = plan({ glow, rebound: { delay: 1e-3, duration: 2e-3, height: 0.2 } });
    expect(openFraction(of, 8e-3)).toBe(0.03);
    expect(openFraction(of, 9.5e-3)).toBeCloseTo(0.2, 12);
    expect(openFraction(of, 0.4)).toBe(0.03);
    expect(openFraction(of, 7.5e-3 + 0.4 + 1e-9)).toBe(0);
    expect(lastLight(of)).toBeCloseTo(0.4075, 12);
    expect(effectiveTime(of)).toBe(effectiveTime(plan()));
    expect(integral(plan({ glow })) - effectiveTime(plan())).toBeCloseTo(0.03 * 0.4, 9);
  });

  it('gives no light if it does not fire, and stays open if its end is not known', () => {
    const dead = plan({ outcome: 'does not fire', rebound: { delay: 0, duration: 1e-3, height: 1 } });
    expect(openFraction(dead, 3e-3)).toBe(0);
    expect([effectiveTime(dead), halfHeightTime(dead), totalOpenTime(dead), reboundTime(dead)]).toEqual([
      0, 0, 0, 0,
    ]);
    const stuck = plan({ outcome: 'sticks open', fullyOpen: Number.POSITIVE_INFINITY });
    expect(openFraction(stuck, 1e6)).toBe(1);
    expect(effectiveTime(stuck)).toBe(Number.POSITIVE_INFINITY);
  });
});
