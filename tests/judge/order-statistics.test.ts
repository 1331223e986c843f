import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { insertValue, type Ordered, sizeOf, valueAt } from '../../app/judge/order-statistics.ts';
import { seededRandom } from '../seeded-random.ts';

const ordered = (values: readonly number[]) =>
  values.reduce<Ordered<number>>((all, value) => insertValue(all, value), null);

const listed = (all: Ordered<number>) => Array.from({ length: sizeOf(all) }, (_, rank) => valueAt(all, rank));

const ascending = (values: readonly number[]) => values.toSorted((a, b) => a - b);

const height = (all: Ordered<number>): number =>
  all === null ? 0 : 1 + Math.max(height(all.lower), height(all.upper));

const COUNT = 3000;
const ORDERS: Readonly<Record<string, (i: number, random: () => number) => number>> = {
  ascending: (i) => i,
  descending: (i) => -i,
  'from both ends': (i) => (i % 2 === 0 ? i : COUNT * 2 - i),
  'into the middle': (i) => (i % 2 === 0 ? i : -i) / (i + 1),
  'by chance': (_, random) => random(),
  'all equal': () => 7,
  'few values': (_, random) => Math.floor(random() * 4),
};

describe('values in order', () => {
  it('stand at their ranks after each one that is added', () => {
    const value = fc.oneof(fc.integer({ min: -5, max: 5 }), fc.double({ noNaN: true }));
    fc.assert(
      fc.property(fc.array(value, { maxLength: 80 }), (values) => {
        expect(listed(ordered(values))).toEqual(ascending(values).map((v) => expect.closeTo(v, 15)));
      }),
      { seed: 31, numRuns: 300 },
    );
  });

  it.each(Object.keys(ORDERS))('stay in a tree of little height: %s', (name) => {
    const random = seededRandom(32);
    const values = Array.from({ length: COUNT }, (_, i) => ORDERS[name]!(i, random));
    const all = ordered(values);
    expect(listed(all)).toEqual(ascending(values));
    // No side weighs more than three quarters of its branch.
    expect(height(all)).toBeLessThanOrEqual(Math.log2(COUNT + 1) / Math.log2(4 / 3));
    expect(unbalanced(all)).toBe(0);
  });

  it('that were there before are not touched', () => {
    const before = ordered([5, 3, 9, 1]);
    const frozen = deepFreeze(before);
    for (const value of [0, 2, 4, 6, 10]) insertValue(frozen, value);
    expect(listed(frozen)).toEqual([1, 3, 5, 9]);
  });

  it('have no rank beyond their number', () => {
    const all = ordered([2, 1]);
    for (const rank of [-1, 2, 0.5, NaN]) expect(() => valueAt(all, rank)).toThrow(RangeError);
    expect(() => valueAt(null, 0)).toThrow(/no rank 0 among 0/);
  });
});

/** Branches of which one side weighs more than three times the other. */
function unbalanced(all: Ordered<number>): number {
  if (all === null) return 0;
  const [a, b] = [sizeOf(all.lower) + 1, sizeOf(all.upper) + 1];
  return unbalanced(all.lower) + unbalanced(all.upper) + (Math.max(a, b) > 3 * Math.min(a, b) ? 1 : 0);
}

function deepFreeze(all: Ordered<number>): Ordered<number> {
  if (all === null) return null;
  deepFreeze(all.lower);
  deepFreeze(all.upper);
  return Object.freeze(all);
}
