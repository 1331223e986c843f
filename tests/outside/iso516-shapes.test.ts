/**
 * Figures of ideal shutter curves, worked out from the definitions of ISO 516 (effective exposure time,
 * total open time, efficiency) and IEEE Std 181 (10 to 90 % durations). The bandwidth rule is ISO
 * 516:2019's own: ±3 dB from DC to 100/t0. The samples are exact (no converter) and fine.
 */
import { describe, expect, it } from 'vitest';
import {
  availableBandwidth,
  requiredBandwidth,
  shortestTotal,
} from '../../app/measure/detector-bandwidth.ts';
import { measureCurve } from '../../app/measure/measure-curve.ts';
import { type KnownOpening, openFraction } from '../measure/known-light.ts';

const STEP = 1e-6;
const DARK = 20;
const HEIGHT = 200;

/** Dark, the opening, dark again; in codes that are no whole numbers, a sample each microsecond. */
function figuresOf(opening: KnownOpening) {
  const before = 0.06;
  const length = before + opening.rise + opening.open + opening.fall + 0.12;
  const samples = Float64Array.from(
    { length: Math.round(length / STEP) },
    (_, i) => DARK + HEIGHT * openFraction(opening, i * STEP - before),
  );
  return measureCurve({ samples, secondsPerSample: STEP, fullScale: 255 }, { reference: null });
}

const milliseconds = (time: number | null) => (time ?? Number.NaN) * 1000;

describe('straight edges, 2 ms opening, 4 ms open, 2 ms closing', () => {
  const figures = figuresOf({ shape: 'straight', rise: 0.002, open: 0.004, fall: 0.002 });

  it('has an effective exposure time of 6.000 ms', () => {
    expect(milliseconds(figures.effective)).toBeCloseTo(6, 3);
  });
  it('has a half-height time of 6.000 ms', () => {
    expect(milliseconds(figures.halfHeight)).toBeCloseTo(6, 3);
  });
  it('rises and falls from 10 to 90 % in 1.600 ms', () => {
    expect(milliseconds(figures.opening)).toBeCloseTo(1.6, 3);
    expect(milliseconds(figures.closing)).toBeCloseTo(1.6, 3);
  });
  it('is open for 7.96 ms at the 1 % threshold, with an efficiency of 0.7538 (0.7500 at none)', () => {
    expect(figures.threshold).toBe(0.01);
    expect(milliseconds(figures.total)).toBeCloseTo(7.96, 2);
    expect(figures.efficiency).toBeCloseTo(0.7538, 3);
  });
  it('opens and closes fully in 1.96 ms between 1 and 99 %, and is over 95 % for 4.2 ms', () => {
    expect(milliseconds(figures.openingFull)).toBeCloseTo(1.96, 2);
    expect(milliseconds(figures.closingFull)).toBeCloseTo(1.96, 2);
    expect(milliseconds(figures.fullyOpen)).toBeCloseTo(4.2, 2);
  });
  it('says nothing against itself', () => {
    expect(figures.remarks).toEqual([]);
  });
});

describe('straight edges of 1 and 3 ms, 4 ms open', () => {
  const figures = figuresOf({ shape: 'straight', rise: 0.001, open: 0.004, fall: 0.003 });

  it('has effective and half-height times of 6.0 ms', () => {
    expect(milliseconds(figures.effective)).toBeCloseTo(6, 3);
    expect(milliseconds(figures.halfHeight)).toBeCloseTo(6, 3);
  });
  it('tells the edges apart: 0.8 and 2.4 ms', () => {
    expect(milliseconds(figures.opening)).toBeCloseTo(0.8, 3);
    expect(milliseconds(figures.closing)).toBeCloseTo(2.4, 3);
  });
});

describe('open area growing as the square of time, 2/4/2 ms', () => {
  const figures = figuresOf({ shape: 'squared', rise: 0.002, open: 0.004, fall: 0.002 });

  it('has an effective exposure time of 5.3333 ms', () => {
    expect(milliseconds(figures.effective)).toBeCloseTo(5.3333, 3);
  });
  it('has a half-height time of 5.1716 ms, which is not the effective time', () => {
    expect(milliseconds(figures.halfHeight)).toBeCloseTo(5.1716, 3);
  });
  it('is open for 7.60 ms at the 1 % threshold, with an efficiency of 0.7018 (0.6667 at none)', () => {
    expect(figures.threshold).toBe(0.01);
    expect(milliseconds(figures.total)).toBeCloseTo(7.6, 2);
    expect(figures.efficiency).toBeCloseTo(0.7018, 3);
  });
});

describe('bandwidth that ISO 516:2019 asks of the detector', () => {
  it('is 100 kHz for 1 ms and 25 kHz for 4 ms', () => {
    expect(requiredBandwidth(0.001)).toBeCloseTo(100_000, 6);
    expect(requiredBandwidth(0.004)).toBeCloseTo(25_000, 6);
  });
  it('lets the board show curves from 5.2 ms at 38.46 kS/s, 2.6 ms at twice that, 15.6 ms with three channels', () => {
    const unbounded = Number.POSITIVE_INFINITY;
    expect(shortestTotal(availableBandwidth(26e-6, unbounded))).toBeCloseTo(0.0052, 9);
    expect(shortestTotal(availableBandwidth(13e-6, unbounded))).toBeCloseTo(0.0026, 9);
    expect(shortestTotal(availableBandwidth(78e-6, unbounded))).toBeCloseTo(0.0156, 9);
  });
  it('is bounded by the analogue part where that is slower', () => {
    expect(availableBandwidth(26e-6, 5000)).toBe(5000);
  });
});
