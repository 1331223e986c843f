import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import {
  type ExposureLengths,
  heldReference,
  type LevelUncertainties,
  plateauWeight,
  presentUncertainty,
} from '../../app/measure/open-level.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { codesIn, firingOf, remarkValue } from './known-firing.ts';
import { exactEffective, knownRecord, openingOf, seededNormal, TICK_HZ } from './known-light.ts';

/** Variance of the effective time times the square of the open level, edges left out, for any weight. */
const variance = (weight: number, length: ExposureLengths, u: LevelUncertainties) =>
  (length.plateau - length.effective * weight) ** 2 * u.plateau ** 2 +
  length.effective ** 2 * (1 - weight) ** 2 * u.reference ** 2 +
  (length.window - length.effective * weight) ** 2 * u.dark ** 2;

describe('the weight of a plateau against the reference', () => {
  const positive = fc.double({ min: 1e-4, max: 1, noNaN: true });
  const samples = (min: number, max: number) => fc.double({ min, max, noNaN: true });

  it('is that of the least variance of the time', () => {
    fc.assert(
      fc.property(
        samples(20, 5000),
        samples(0, 500),
        samples(0, 200),
        fc.record({ plateau: positive, reference: positive, dark: positive }),
        (plateau, edge, margin, u) => {
          const length = { plateau, effective: plateau + edge, window: plateau + 2 * edge + margin };
          const weight = plateauWeight(length, u);
          expect(weight).toBeGreaterThan(0);
          expect(weight).toBeLessThanOrEqual(1);
          const least = variance(weight, length, u);
          for (const other of [0, 0.25, 0.5, 0.75, 1, weight - 0.01, weight + 0.01].filter(
            (w) => w >= 0 && w <= 1,
          )) {
            expect(least).toBeLessThanOrEqual(variance(other, length, u) * (1 + 1e-9) + 1e-20);
          }
        },
      ),
      { seed: 31, numRuns: 300 },
    );
  });
  it('is Lp/te for a perfect reference, whose plateau noise then cancels, and 1 for a worthless one', () => {
    const length = { plateau: 60, effective: 150, window: 260 };
    expect(plateauWeight(length, { plateau: 0.1, reference: 0, dark: 0 })).toBeCloseTo(0.4, 12);
    expect(plateauWeight(length, { plateau: 0.1, reference: 1e6, dark: 0 })).toBeCloseTo(1, 9);
  });
});

const NOISE = { dark: 12.3, noise: 1 };
const reference: ReferenceLevel = {
  height: 200,
  uncertainty: 0.02,
  firstTick: ticks(0),
  origin: 'slow firing',
};
/** 2 ms straight edges, so that 1/250 has a plateau of 2 ms. */
const OPENING = openingOf(1 / 250, 'straight', 0.002);
const firing = (seed: number, seconds: number, height = 200) =>
  firingOf(knownRecord(OPENING, seed, { ...NOISE, height }, 0.06), { firstTick: ticks(seconds * TICK_HZ) });

/** Root mean square of the error of the effective time over 200 firings `age` seconds after the reference. */
function scatter(held: ReferenceLevel | null, age: number, height = 200): number {
  let squares = 0;
  for (let seed = 0; seed < 200; seed++) {
    const { effective } = measureFiring(firing(seed, age, height), { reference: held });
    squares += (effective! - exactEffective(OPENING)) ** 2;
  }
  return Math.sqrt(squares / 200);
}

describe('a short plateau and a reference', () => {
  it('are pooled when they agree, with an uncertainty better than that of either', () => {
    const alone = measureFiring(firing(1, 5), { reference: null }).levels!;
    const { levels, remarks } = measureFiring(firing(1, 5), { reference });
    expect(levels!.openOrigin).toBe('plateau and reference');
    expect(remarks).toEqual([]);
    expect(levels!.openUncertainty).toBeLessThan(alone.openUncertainty);
    expect(levels!.openUncertainty).toBeGreaterThan(0.02);
    const [low, high] = [alone.open - alone.dark, 200].sort((a, b) => a - b) as [number, number];
    expect(levels!.open - levels!.dark).toBeGreaterThan(low);
    expect(levels!.open - levels!.dark).toBeLessThan(high);
  });
  it('together give times that scatter less than the plateau alone', () => {
    // √(4 + 2) against √(4 + 0.06) by the lengths in milliseconds: a fifth less.
    expect(scatter(reference, 5)).toBeLessThan(0.9 * scatter(null, 5));
  });
  it('an old reference has no weight to speak of: a light that has crept away unseen does no harm', () => {
    const alone = scatter(null, 0, 201);
    expect(scatter(reference, 600, 201)).toBeLessThan(1.1 * alone);
    // The same half percent, on the reference's word alone, would make 10 µs.
    expect(alone).toBeLessThan(4e-6);
  });
  it('that are further apart than chance and drift allow are not pooled, even below the 1 % that is said', () => {
    const figures = measureFiring(firing(2, 5, 201.5), { reference });
    expect(figures.levels!.openOrigin).toBe('plateau');
    expect(codesIn(figures)).toEqual([]);
  });
  it('that disagree by more than 1 % are never pooled, and it is said', () => {
    for (const age of [5, 1700]) {
      const figures = measureFiring(firing(3, age, 206), { reference });
      expect(figures.levels!.openOrigin).toBe('plateau');
      expect(remarkValue(figures, 'light changed')).toBeCloseTo(0.03, 2);
    }
  });
});

describe('the uncertainty stated of the open level', () => {
  it.each([
    ['plateau', null],
    ['plateau and reference', 0.05],
  ] as const)('of a %s is the scatter there is', (origin, uncertainty) => {
    const normal = seededNormal(seededRandom(8));
    let squares = 0;
    let stated = 0;
    for (let seed = 0; seed < 300; seed++) {
      const held =
        uncertainty === null ? null : { ...reference, height: 200 + uncertainty * normal(), uncertainty };
      const { levels } = measureFiring(firing(1000 + seed, 0), { reference: held });
      if (levels!.openOrigin !== origin) continue;
      squares += (levels!.open - levels!.dark - 200) ** 2 / 300;
      stated += levels!.openUncertainty ** 2 / 300;
    }
    // An rms over 300 is known to 4 %.
    expect(Math.sqrt(squares / stated)).toBeGreaterThan(0.85);
    expect(Math.sqrt(squares / stated)).toBeLessThan(1.15);
  });
});

describe('a reference', () => {
  it('is worth less as it ages: a tenth of a percent of the level each minute', () => {
    expect(presentUncertainty(heldReference(reference, 0))).toBe(0.02);
    expect(presentUncertainty(heldReference(reference, 60))).toBeCloseTo(Math.hypot(0.02, 0.2), 12);
    expect(presentUncertainty(heldReference(reference, 600))).toBeCloseTo(Math.hypot(0.02, 2), 12);
  });
  it('says so where it stands alone', () => {
    const triangle = knownRecord(openingOf(1 / 500, 'straight', 0.002), 1, { ...NOISE, height: 200 }, 0.06);
    const levelsAfter = (seconds: number) =>
      measureFiring(firingOf(triangle, { firstTick: ticks(seconds * TICK_HZ) }), { reference }).levels!;
    expect(levelsAfter(1).openUncertainty).toBeCloseTo(0.02, 3);
    expect(levelsAfter(300).openUncertainty).toBeCloseTo(1, 2);
    expect(levelsAfter(300).openOrigin).toBe('reference');
  });
});
