import { describe, expect, it } from 'vitest';
import { normalNoiseAt, Random } from '../../app/practice/random.ts';

function momentsOf(values: readonly number[]) {
  const n = values.length;
  const mean = values.reduce((sum, x) => sum + x, 0) / n;
  const central = (power: number) => values.reduce((sum, x) => sum + (x - mean) ** power, 0) / n;
  const sd = Math.sqrt(central(2));
  return { mean, sd, skew: central(3) / sd ** 3, kurtosis: central(4) / sd ** 4 };
}

describe('random numbers', () => {
  it('give xoshiro128** for the words 1, 2, 3, 4 (xoshiro128starstar.c 1.1, by its authors)', () => {
    const random = new Random([1, 2, 3, 4]);
    expect(Array.from({ length: 6 }, () => random.bits32())).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492,
    ]);
  });

  it('repeat with the seed and differ without', () => {
    const first = new Random(5);
    const again = new Random(5);
    const other = new Random(6);
    const take = (random: Random) => Array.from({ length: 20 }, () => random.uniform());
    const values = take(first);
    expect(take(again)).toEqual(values);
    expect(take(other)).not.toEqual(values);
  });

  it('are uniform, normal and log-normal as they say', () => {
    const random = new Random(11);
    const n = 40_000;
    const uniform = momentsOf(Array.from({ length: n }, () => random.uniform()));
    expect(uniform.mean).toBeCloseTo(0.5, 2);
    expect(uniform.sd).toBeCloseTo(1 / Math.sqrt(12), 2);
    const normal = momentsOf(Array.from({ length: n }, () => random.normal()));
    expect(Math.abs(normal.mean)).toBeLessThan(0.02);
    expect(Math.abs(normal.sd - 1)).toBeLessThan(0.02);
    expect(Math.abs(normal.skew)).toBeLessThan(0.06);
    expect(Math.abs(normal.kurtosis - 3)).toBeLessThan(0.12);
    const logarithms = momentsOf(Array.from({ length: n }, () => Math.log(random.logNormal(0.2))));
    expect(Math.abs(logarithms.sd - 0.2)).toBeLessThan(0.005);
    const hits = Array.from({ length: n }, () => random.chance(0.1)).filter(Boolean).length;
    expect(Math.abs(hits / n - 0.1)).toBeLessThan(0.01);
  });
});

describe('noise as a function of time', () => {
  /** 416 cycles apart, as the board samples, and beyond 2^32 cycles as well. */
  const cycles = Array.from({ length: 40_000 }, (_, n) => 416 * n + (n > 20_000 ? 2 ** 33 : 0));

  it('is standard normal, and one sample says nothing about the next', () => {
    const values = cycles.map((cycle) => normalNoiseAt(3, cycle));
    const { mean, sd, skew, kurtosis } = momentsOf(values);
    expect(Math.abs(mean)).toBeLessThan(0.02);
    expect(Math.abs(sd - 1)).toBeLessThan(0.02);
    expect(Math.abs(skew)).toBeLessThan(0.06);
    expect(Math.abs(kurtosis - 3)).toBeLessThan(0.12);
    for (const lag of [1, 2, 3, 8, 32, 128]) {
      const products = values.slice(lag).reduce((sum, x, n) => sum + x * values[n]!, 0);
      expect(Math.abs(products / (values.length - lag))).toBeLessThan(0.02);
    }
  });

  it('depends on seed and cycle alone', () => {
    expect(normalNoiseAt(3, 416)).toBe(normalNoiseAt(3, 416));
    expect(normalNoiseAt(4, 416)).not.toBe(normalNoiseAt(3, 416));
    expect(normalNoiseAt(3, 416 + 2 ** 32)).not.toBe(normalNoiseAt(3, 416));
  });
});
