/** Where the iris check stops deciding. Readings without any scatter have an interval of no width. */
import { describe, expect, it } from 'vitest';
import { type IrisReading, irisCheck } from '../../app/judge/iris-check.ts';
import type { RemarkCode } from '../../app/measure/figures.ts';

const TIME = 0.002;

interface Case {
  /** Stops by which the time should get longer with a half and with a quarter of the light. */
  readonly one?: number;
  readonly two?: number;
  readonly share: number;
  /** Stops by which it got longer. */
  readonly found: number;
  /** Of two readings on either side, ± in stops. */
  readonly scatter?: number;
}

function readingOf(log: number, height: number, curve: readonly number[] | null, ...codes: RemarkCode[]) {
  const effective = TIME * 2 ** log;
  return {
    figures: {
      effective,
      total: null,
      remarks: codes.map((code) => ({ code })),
      stoppedDown: curve === null ? null : curve.map((stops) => effective * 2 ** stops),
      levels: { dark: 5, open: 5 + height },
    },
  } as unknown as IrisReading;
}

function check({ one = 0.3, two = 0.5, share, found, scatter = 0 }: Case) {
  const [wide, narrow] = [-scatter, scatter].reduce<[IrisReading[], IrisReading[]]>(
    ([open, stopped], off) => [
      [...open, readingOf(off, 100, [one, two])],
      [...stopped, readingOf(found + off, 100 * share, null)],
    ],
    [[], []],
  );
  return irisCheck('1/500', wide, narrow);
}

const outcome = (of: Case) => check(of).outcome;

describe('the light that is left', () => {
  it('must be at least 40 %, or the iris was closed by more than a stop', () => {
    expect(outcome({ share: 0.39, found: 0.376 })).toBe('not one stop');
    expect(outcome({ share: 0.41, found: 0.372 })).toBe('whole opening used');
  });

  it('of more than 60 % is of a part of the opening', () => {
    expect(outcome({ share: 0.59, found: 0.246 })).toBe('whole opening used');
    expect(outcome({ share: 0.61, found: 0.234 })).toBe('part of the opening used');
    expect(outcome({ share: 1, found: 0 })).toBe('part of the opening used');
    // A lamp that grew brighter meanwhile lengthens nothing.
    expect(outcome({ share: 1.3, found: 0 })).toBe('part of the opening used');
  });
});

describe('the time', () => {
  it.each([
    [0.24, 'cannot be decided'],
    [0.26, 'whole opening used'],
    [0.34, 'whole opening used'],
    [0.36, 'cannot be decided'],
  ])('longer by %f where the light says 0.3 stops: %s', (found, said) => {
    expect(outcome({ share: 0.5, found })).toBe(said);
  });

  it('is expected straight in the light between half and a quarter, and between half and all of it', () => {
    // At 0.41: 0.8 − 0.5 · (4 · 0.41 − 1); the line through a half would say 0.354.
    expect(outcome({ two: 0.8, share: 0.41, found: 0.48 })).toBe('whole opening used');
    expect(outcome({ two: 0.8, share: 0.41, found: 0.354 })).toBe('cannot be decided');
    // At 0.75: half of 0.3; the line through a quarter would say −0.2.
    expect(outcome({ two: 0.8, share: 0.75, found: 0.15 })).toBe('part of the opening used');
    expect(outcome({ two: 0.8, share: 0.75, found: -0.2 })).toBe('cannot be decided');
  });

  it('must be expected to get longer by a tenth of a stop', () => {
    expect(outcome({ one: 0.09, two: 0.15, share: 0.5, found: 0.09 })).toBe('cannot be decided');
    expect(outcome({ one: 0.11, two: 0.18, share: 0.5, found: 0.11 })).toBe('whole opening used');
  });

  it('decides nothing where the readings scatter too much', () => {
    // Two and two of equal spread have two degrees of freedom: ±4.303 (Student's table, from memory) · 0.04 · √2 = ±0.24.
    expect(outcome({ share: 0.5, found: 0.3, scatter: 0.04 })).toBe('cannot be decided');
    expect(outcome({ share: 0.61, found: 0.234, scatter: 0.04 })).toBe('cannot be decided');
    const { interval } = check({ share: 0.5, found: 0.3, scatter: 0.04 });
    expect((interval.upper - interval.lower) / 2).toBeCloseTo(4.3027 * 0.04 * Math.SQRT2, 4);
  });
});

describe('readings that can’t be used', () => {
  const wide = [0, 0].map((log) => readingOf(log, 100, [0.3, 0.5]));
  const narrow = [0.3, 0.3].map((log) => readingOf(log, 50, null));
  const without = (reading: IrisReading, what: 'effective' | 'stoppedDown' | 'levels') =>
    ({ figures: { ...reading.figures, [what]: null } }) as IrisReading;

  it('are passed over on either side', () => {
    const bad = [
      readingOf(3, 100, [0.3, 0.5], 'saturated'),
      without(readingOf(3, 100, [0.3, 0.5]), 'effective'),
      without(readingOf(3, 100, [0.3, 0.5]), 'levels'),
    ];
    const uncurved = [without(wide[0]!, 'stoppedDown'), readingOf(3, 100, [0.3])];
    const result = irisCheck('1/500', [...bad, ...uncurved, ...wide], [...bad, ...narrow]);
    expect(result).toEqual(irisCheck('1/500', wide, narrow));
    expect(result).toMatchObject({ firingsOpen: 2, firingsStopped: 2 });
  });
});
