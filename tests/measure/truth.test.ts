/**
 * Light of known shape through an 8-bit converter that floors, with 1 step rms of noise: the figures
 * against the exact integral and the exact instants of half light. One seeded firing for each case.
 */
import { describe, expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference } from '../../app/measure/reference-level.ts';
import { knownFiring } from './known-firing.ts';
import { exactEffective, exactHalfHeight, openingOf } from './known-light.ts';

const SPEEDS = [500, 250, 125, 60, 15, 8, 2, 1];

describe.each([
  ['straight', 0.0004],
  ['straight', 0.002],
  ['squared', 0.0004],
  ['squared', 0.002],
] as const)('%s edges of %s s', (shape, edge) => {
  // The reference that a triangle needs comes from a firing at 1/15 s of the same set-up.
  const slow = knownFiring(openingOf(1 / 15, shape, edge), 15);
  const reference = nextReference(null, slow, measureFiring(slow, { reference: null })).reference;

  it.each(SPEEDS)('at 1/%i s', (speed) => {
    const opening = openingOf(1 / speed, shape, edge);
    const flat = opening.open > 0.0006;
    const figures = measureFiring(knownFiring(opening, 100 + speed), { reference: flat ? null : reference });
    const truth = exactEffective(opening);
    expect(Math.abs(figures.effective! - truth)).toBeLessThan(5e-6 + 0.0002 * truth);
    expect(Math.abs(figures.halfHeight! - exactHalfHeight(opening))).toBeLessThan(10e-6);
    expect(figures.levels!.openOrigin).toBe(flat ? 'plateau' : 'reference');
  });
});

it('has no bias: the mean over sixty firings is within 1 µs for effective time and half height', () => {
  for (const shape of ['straight', 'squared'] as const) {
    const opening = openingOf(1 / 125, shape, 0.002);
    let effective = 0;
    let half = 0;
    const n = 60;
    for (let seed = 0; seed < n; seed++) {
      const figures = measureFiring(knownFiring(opening, seed), { reference: null });
      effective += figures.effective! / n;
      half += figures.halfHeight! / n;
    }
    expect(Math.abs(effective - exactEffective(opening))).toBeLessThan(1e-6);
    expect(Math.abs(half - exactHalfHeight(opening))).toBeLessThan(1.3e-6);
  }
});

it('reads a triangle hundreds of microseconds long without a reference, and says so', () => {
  const opening = openingOf(1 / 500, 'straight', 0.002);
  const figures = measureFiring(knownFiring(opening, 3), { reference: null });
  expect(figures.levels!.openOrigin).toBe('peak');
  expect(figures.remarks.map(({ code }) => code)).toContain('no open level');
  expect(figures.effective! - 0.002).toBeGreaterThan(0);
});

it('keeps its shape figures near the truth on a noisy curve', () => {
  const opening = openingOf(1 / 60, 'straight', 0.002);
  const figures = measureFiring(knownFiring(opening, 8), { reference: null });
  const { threshold } = figures;
  expect(threshold).toBeGreaterThan(0.01);
  const total = opening.open + 0.004 * (1 - threshold!);
  expect(Math.abs(figures.total! - total)).toBeLessThan(40e-6);
  expect(Math.abs(figures.opening! - 0.0016)).toBeLessThan(40e-6);
  expect(Math.abs(figures.closing! - 0.0016)).toBeLessThan(40e-6);
  expect(figures.efficiency! * figures.total!).toBeCloseTo(figures.effective!, 12);
});

it('follows the slow edges of a gummed shutter', () => {
  const opening = { shape: 'squared', rise: 0.02, open: 0.02, fall: 0.012 } as const;
  const figures = measureFiring(knownFiring(opening, 5), { reference: null });
  expect(Math.abs(figures.effective! - exactEffective(opening))).toBeLessThan(20e-6);
  expect(Math.abs(figures.halfHeight! - exactHalfHeight(opening))).toBeLessThan(20e-6);
});
