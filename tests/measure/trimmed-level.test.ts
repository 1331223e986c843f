import { describe, expect, it } from 'vitest';
import { trimmedLevel } from '../../app/measure/trimmed-level.ts';
import { seededRandom } from '../seeded-random.ts';
import { seededNormal } from './known-light.ts';

function codes(mean: number, sd: number, n: number, seed = 1): Uint8Array {
  const normal = seededNormal(seededRandom(seed));
  return Uint8Array.from({ length: n }, () => Math.floor(mean + 0.5 + sd * normal()));
}

describe('level of most samples', () => {
  it.each([20, 20.25, 20.5, 20.75])('is right between codes: %s', (mean) => {
    const level = trimmedLevel(codes(mean, 1, 20_000), 0, 20_000);
    // Standard error 1.04/√20000 = 0.007; a mode or median would be up to 0.5 off.
    expect(Math.abs(level.mean - mean)).toBeLessThan(0.03);
    expect(level.sd).toBeCloseTo(Math.sqrt(1 + 1 / 12), 1);
    expect(level.count).toBeGreaterThan(19_900);
  });
  it('leaves out spikes and a fifth of the samples at another level', () => {
    const values = codes(20.3, 1, 10_000);
    values.fill(200, 0, 2000);
    expect(Math.abs(trimmedLevel(values, 0, 10_000).mean - 20.3)).toBeLessThan(0.05);
  });
  it('follows wide noise', () => {
    const level = trimmedLevel(codes(100, 8, 20_000), 0, 20_000);
    expect(Math.abs(level.mean - 100)).toBeLessThan(0.3);
    expect(Math.abs(level.sd - 8)).toBeLessThan(0.2);
  });
  it('never gives less noise than the converter’s own 1/√12 step', () => {
    expect(trimmedLevel(new Uint8Array(100).fill(7), 0, 100)).toEqual({
      mean: 7,
      sd: 1 / Math.sqrt(12),
      count: 100,
    });
  });
  it('is the same for numbers that are not bytes', () => {
    const bytes = codes(30.4, 1.5, 5000);
    const plain = trimmedLevel(bytes, 10, 4000);
    const floats = trimmedLevel(Float64Array.from(bytes), 10, 4000);
    expect(floats.mean).toBeCloseTo(plain.mean, 12);
    expect(floats.sd).toBeCloseTo(plain.sd, 9);
  });
  it('of no samples is no number', () => {
    expect(trimmedLevel(new Uint8Array(5), 3, 3)).toMatchObject({ mean: Number.NaN, count: 0 });
  });
});
