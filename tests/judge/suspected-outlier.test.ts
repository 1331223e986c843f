import { describe, expect, it } from 'vitest';
import { addReading, NO_FIRINGS, statisticsOf, summarise } from '../../app/judge/speed-statistics.ts';
import {
  OUTLIER_LEAST_DISTANCE,
  OUTLIER_LEVEL,
  suspectedOutlier,
} from '../../app/judge/suspected-outlier.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { reading } from './sample-readings.ts';

const REFERENCE = seconds(1 / 125);
const firings = (errors: readonly number[]) => errors.map((error) => reading(REFERENCE * 2 ** error));
const suspectOf = (...errors: number[]) => statisticsOf(firings(errors), REFERENCE).suspect;

describe('a suspected outlier', () => {
  it('is the firing that lies far from the others', () => {
    expect(suspectOf(0.01, -0.02, 0.02, 0.6, 0)).toBe('slowest');
    expect(suspectOf(0.01, -0.02, -0.7, 0.02, 0)).toBe('fastest');
    expect(suspectOf(0.01, -0.02, 0.02, 0.03, 0)).toBeNull();
  });

  it('counts nevertheless', () => {
    const errors = [0.01, -0.02, 0.02, 0.6, 0];
    const { n, meanError, range } = statisticsOf(firings(errors), REFERENCE);
    expect(n).toBe(5);
    expect(meanError).toBeCloseTo(0.61 / 5, 12);
    expect(range).toBeCloseTo(0.62, 12);
  });

  it('needs a distance that matters, however well the others agree', () => {
    const stray = OUTLIER_LEAST_DISTANCE;
    expect(suspectOf(0, 0.001, 0, 0.001, stray + 0.002)).toBe('slowest');
    expect(suspectOf(0, 0.001, 0, 0.001, stray - 0.002)).toBeNull();
    expect(suspectOf(0, -0.001, 0, -0.001, -stray - 0.002)).toBe('fastest');
    expect(suspectOf(0, -0.001, 0, -0.001, -stray + 0.002)).toBeNull();
  });

  it('of three stands beside two that agree thirty times better, and of two or one there is none', () => {
    expect(suspectOf(0, 0.01, 0.34)).toBe('slowest');
    expect(suspectOf(0, 0.01, 0.32)).toBeNull();
    expect(suspectOf(0, 3)).toBeNull();
    expect(suspectOf(3)).toBeNull();
  });

  it('is not seen where two strays hide each other', () => {
    expect(suspectOf(0, 0.01, -0.01, 0.6, 0.62)).toBeNull();
  });

  it('is the slower of two that are equally far out', () => {
    const centre = Array.from({ length: 30 }, (_, i) => (i % 2 === 0 ? 0.01 : -0.01));
    expect(suspectOf(...centre, 0.8, -0.8)).toBe('slowest');
    expect(suspectOf(-0.8, 0.8, ...centre)).toBe('slowest');
    expect(suspectOf(...centre, 0.8, -0.81)).toBe('fastest');
  });

  it('does not come of firings without any spread', () => {
    const zero = stops(0);
    expect(suspectedOutlier({ n: 5, mean: zero, sd: zero, least: zero, greatest: zero })).toBeNull();
  });

  it('is named by mistake at as many marks as the level says', () => {
    const normal = seededNormal(seededRandom(33));
    for (const n of [3, 5, 10]) {
      let named = 0;
      const series = 4000;
      for (let i = 0; i < series; i++) {
        // A spread so wide that the least distance never decides.
        let running = NO_FIRINGS;
        for (let k = 0; k < n; k++) running = addReading(running, reading(REFERENCE * 2 ** (20 * normal())));
        if (summarise(running, REFERENCE).suspect !== null) named++;
      }
      // Four standard deviations of the count.
      expect(Math.abs(named / series - OUTLIER_LEVEL), `n = ${n}`).toBeLessThan(0.014);
    }
  });

  it('is hardly ever named on a shutter that repeats well', () => {
    const normal = seededNormal(seededRandom(34));
    let named = 0;
    for (let i = 0; i < 2000; i++) {
      if (suspectOf(...Array.from({ length: 5 }, () => 0.02 * normal())) !== null) named++;
    }
    expect(named).toBeLessThan(4);
  });
});
