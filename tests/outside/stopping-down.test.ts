/**
 * Leaf shutters expose longer with the lens stopped down. Straight edges of 2 ms at marked 1/125, 1/250 and
 * 1/500 (effective times of 8, 4 and 2 ms at full aperture) against
 *
 *  - arithmetic on the definitions of ISO 516: te(k) = te + τ − τ·2^−k, efficiency te/(te + τ);
 *  - a printed table: a leaf shutter at f/16 or smaller exposes more by 1/3 stop at 1/125, 2/3 at 1/250 and
 *    1 stop at 1/500 (Kodak Professional Photoguide, 1979, as transcribed by a reader);
 *  - a maker's manual (Hasselblad H1D, p. 168), read for what it says in words: the effective time grows as
 *    the lens is stopped down, and is taken between the instants of half opening.
 */
import { describe, expect, it } from 'vitest';
import { measureCurve } from '../../app/measure/measure-curve.ts';
import { type KnownOpening, openFraction, openingOf } from '../measure/known-light.ts';

const STEP = 5e-6;
const DARK = 20;
const HEIGHT = 200;
const EDGE = 0.002;

/** Exact samples, four hundred on each edge; the triangle at 2 ms needs a reference, so that all have one. */
function figuresOf(opening: KnownOpening) {
  const before = 0.06;
  const length = before + opening.rise + opening.open + opening.fall + 0.12;
  const samples = Float64Array.from(
    { length: Math.round(length / STEP) },
    (_, i) => DARK + HEIGHT * openFraction(opening, i * STEP - before),
  );
  const reference = { height: HEIGHT, uncertainty: 0.01, drift: 0 };
  return measureCurve({ samples, secondsPerSample: STEP, fullScale: 255 }, { reference });
}

describe.each([
  { mark: '1/125', effective: 0.008, oneStop: 0.17, limit: 0.322, efficiency: 80.0, thirds: 1 },
  { mark: '1/250', effective: 0.004, oneStop: 0.322, limit: 0.585, efficiency: 66.7, thirds: 2 },
  { mark: '1/500', effective: 0.002, oneStop: 0.585, limit: 1.0, efficiency: 50.0, thirds: 3 },
])('straight edges of 2 ms at $mark', ({ effective, oneStop, limit, efficiency, thirds }) => {
  const figures = figuresOf(openingOf(effective, 'straight', EDGE));
  const stopped = figures.stoppedDown!;
  const gain = (time: number) => Math.log2(time / figures.effective!);
  // te(k) halves what is missing with each stop: two in a row give where it leads.
  const smallest = 2 * stopped[5]! - stopped[4]!;

  it('has the times te + τ − τ·2^−k for one to six stops', () => {
    expect(stopped).toHaveLength(6);
    stopped.forEach((time, i) => {
      expect(time).toBeCloseTo(effective + EDGE - EDGE * 2 ** -(i + 1), 7);
    });
  });
  it(`gains ${oneStop} EV by one stop and ${limit} EV at the smallest aperture`, () => {
    expect(gain(stopped[0]!)).toBeCloseTo(oneStop, 3);
    expect(gain(smallest)).toBeCloseTo(limit, 3);
  });
  it(`has an efficiency of ${efficiency} %`, () => {
    // The total open time is taken at 1 % of the light: each straight edge loses a hundredth of itself.
    expect(figures.threshold).toBe(0.01);
    const total = figures.total! + 2 * 0.01 * EDGE;
    expect((100 * figures.effective!) / total).toBeCloseTo(efficiency, 1);
  });
  it(`agrees with the printed table: ${thirds}/3 stop at small apertures`, () => {
    expect(Math.round(3 * gain(smallest))).toBe(thirds);
  });
});

describe.each(['straight', 'squared'] as const)('in words, with %s edges', (shape) => {
  const opening = openingOf(0.004, shape, EDGE);
  const figures = figuresOf(opening);

  it('the effective time grows with every stop and never beyond the open time', () => {
    const times = [figures.effective!, ...figures.stoppedDown!];
    for (let i = 1; i < times.length; i++) expect(times[i]!).toBeGreaterThan(times[i - 1]!);
    expect(times.at(-1)!).toBeLessThan(opening.rise + opening.open + opening.fall);
  });
  it('the time between the half openings lies on the effective time only for straight edges', () => {
    const apart = Math.abs(figures.halfHeight! - figures.effective!);
    if (shape === 'straight') expect(apart).toBeLessThan(1e-6);
    else expect(apart).toBeGreaterThan(100e-6);
  });
});
