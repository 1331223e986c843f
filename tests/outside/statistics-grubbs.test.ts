/** The test for a suspected outlier against printed critical values and a worked example. */
import { describe, expect, it } from 'vitest';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { grubbsCriticalValue } from '../../app/judge/suspected-outlier.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { reading } from '../judge/sample-readings.ts';

/**
 * Two-sided 5 and 1 %. From 3 to 14 as printed by D. Harvey, Analytical Chemistry 2.1, appendix 7 (LibreTexts), where
 * n = 7 reads 2.202 at 5 %, a slip for 2.020: its neighbours are 1.887 and 2.126. 20 and 30, and the origin of them
 * all (F. E. Grubbs and G. Beck, Technometrics 14 (1972) 847; ISO 5725-2, table 5), from memory.
 */
const TABLE = [
  [3, 1.155, 1.155],
  [4, 1.481, 1.496],
  [5, 1.715, 1.764],
  [6, 1.887, 1.973],
  [7, 2.02, 2.139],
  [8, 2.126, 2.274],
  [9, 2.215, 2.387],
  [10, 2.29, 2.482],
  [11, 2.355, 2.564],
  [12, 2.412, 2.636],
  [13, 2.462, 2.699],
  [14, 2.507, 2.755],
  [20, 2.709, 3.001],
  [30, 2.908, 3.236],
] as const;

describe('Grubbs’ critical values', () => {
  it.each(TABLE)('for n = %i', (n, five, one) => {
    // The tables round up now and then: 1.1543 to 1.155.
    expect(Math.abs(grubbsCriticalValue(n) - five)).toBeLessThan(0.0015);
    expect(Math.abs(grubbsCriticalValue(n, 0.01) - one)).toBeLessThan(0.0015);
  });
});

/**
 * NIST/SEMATECH e-Handbook, 1.3.5.17.1 (from memory): eight values from a mass spectrometer; G = 2.4687 for the largest,
 * critical value 2.032 for an upper one-sided test at 5 %, which is a two-sided one at 10 %.
 */
describe('the handbook’s example', () => {
  const values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
  const statistics = statisticsOf(
    values.map((value) => reading(2 ** value)),
    seconds(1),
  );

  it('G and its critical value', () => {
    expect((values[7]! - statistics.meanError!) / statistics.sd!).toBeCloseTo(2.4687, 3);
    expect(grubbsCriticalValue(8, 0.1)).toBeCloseTo(2.032, 3);
  });

  it('names the largest', () => {
    expect(statistics.suspect).toBe('slowest');
  });
});
