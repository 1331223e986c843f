import { describe, expect, it } from 'vitest';
import {
  type EdgeShape,
  edgeInstant,
  effectiveTime,
  type FiringPlan,
  halfHeightTime,
  timeAbove,
  totalOpenTime,
} from '../../app/practice/firing-plan.ts';

/** Opening, fully open and closing in ms. */
const plan = (shape: EdgeShape, [opening, open, closing]: [number, number, number]): FiringPlan => ({
  outcome: 'exposes',
  opening: { shape, duration: opening / 1000 },
  fullyOpen: open / 1000,
  closing: { shape, duration: closing / 1000 },
  stroke: 1,
  rebound: null,
  glow: null,
  contact: [],
});
const inMs = (time: number) => time * 1000;

// Definitions of ISO 516 (camera shutters, timing): effective time, efficiency; 10 to 90 % after IEEE Std 181.
// The numbers are worked out from the definitions.
describe('figures of simple shutter curves', () => {
  it('trapezoid 2/4/2 ms: effective and half-height 6.000 ms, rise 1.600 ms, efficiency 0.7500', () => {
    const of = plan('straight', [2, 4, 2]);
    expect(inMs(effectiveTime(of))).toBeCloseTo(6, 9);
    expect(inMs(halfHeightTime(of))).toBeCloseTo(6, 9);
    expect(inMs(edgeInstant(of.opening, 0.9) - edgeInstant(of.opening, 0.1))).toBeCloseTo(1.6, 9);
    expect(effectiveTime(of) / totalOpenTime(of)).toBeCloseTo(0.75, 9);
  });

  it('trapezoid 1/4/3 ms: effective and half-height 6.000 ms', () => {
    const of = plan('straight', [1, 4, 3]);
    expect(inMs(effectiveTime(of))).toBeCloseTo(6, 9);
    expect(inMs(halfHeightTime(of))).toBeCloseTo(6, 9);
  });

  it('area growing as the square, 2/4/2 ms: effective 5.3333 ms, half-height 5.1716 ms, efficiency 0.6667', () => {
    const of = plan('square', [2, 4, 2]);
    expect(inMs(effectiveTime(of))).toBeCloseTo(5.3333, 4);
    expect(inMs(halfHeightTime(of))).toBeCloseTo(5.1716, 4);
    expect(effectiveTime(of) / totalOpenTime(of)).toBeCloseTo(0.6667, 4);
  });

  it('seen above 1 %: straight edges 7.96 ms and 0.7538, square ones 7.60 ms and 0.7018', () => {
    const straight = plan('straight', [2, 4, 2]);
    expect(inMs(timeAbove(straight, 0.01))).toBeCloseTo(7.96, 9);
    expect(effectiveTime(straight) / timeAbove(straight, 0.01)).toBeCloseTo(0.7538, 4);
    const square = plan('square', [2, 4, 2]);
    expect(inMs(timeAbove(square, 0.01))).toBeCloseTo(7.6, 9);
    expect(effectiveTime(square) / timeAbove(square, 0.01)).toBeCloseTo(0.7018, 4);
  });
});
