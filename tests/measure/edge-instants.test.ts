/** Crossings and the width of the running mean on edges whose length is known. */
import { describe, expect, it } from 'vitest';
import { crossing, type Edge, fitWidth, lightGone } from '../../app/measure/edge-instants.ts';
import { LightCurve } from '../../app/measure/light-curve.ts';

const DARK = 10;
const HEIGHT = 200;
const BEFORE = 300;
const OPEN = 400;

/** Straight edges of so many samples each; `more` adds light in codes. */
function edges(length: number, more: (i: number) => number = () => 0) {
  const values = Float64Array.from({ length: 2 * BEFORE + OPEN + 2 * length }, (_, i) => {
    const share = Math.min(1, (i - BEFORE) / length, (BEFORE + 2 * length + OPEN - i) / length);
    return DARK + HEIGHT * Math.max(share, 0) + more(i);
  });
  const curve = new LightCurve(values);
  const [up, down] = [BEFORE + length, BEFORE + length + OPEN];
  const opening: Edge = { curve, start: up, outward: -1, outer: 0, inner: down, width: 1 };
  const closing: Edge = { curve, start: down, outward: 1, outer: values.length - 1, inner: up, width: 1 };
  return { opening, closing };
}

describe('the width of the running mean', () => {
  it.each([
    [4, 1],
    [10, 1],
    [18, 1],
    [26, 3],
    [34, 3],
    [42, 5],
    [200, 5],
  ])('on an edge of %i samples is %i: odd, an eighth of it, five at the most', (length, width) => {
    const { opening, closing } = edges(length);
    expect(fitWidth(opening, DARK, HEIGHT).width).toBe(width);
    expect(fitWidth(closing, DARK, HEIGHT).width).toBe(width);
  });
});

describe('a crossing', () => {
  it('lies between two samples, on either edge', () => {
    const { opening, closing } = edges(100);
    // Two codes per sample.
    expect(crossing(opening, DARK + 61)).toBeCloseTo(BEFORE + 30.5, 9);
    expect(crossing(closing, DARK + 61)).toBeCloseTo(BEFORE + 200 + OPEN - 30.5, 9);
    expect(crossing({ ...opening, width: 5 }, DARK + 61)).toBeCloseTo(BEFORE + 30.5, 9);
  });

  it('is sought inward when the edge begins below the level', () => {
    const { opening, closing } = edges(100);
    expect(crossing({ ...opening, start: BEFORE + 20 }, DARK + 61)).toBeCloseTo(BEFORE + 30.5, 9);
    expect(crossing({ ...closing, start: BEFORE + OPEN + 180 }, DARK + 61)).toBeCloseTo(
      BEFORE + 200 + OPEN - 30.5,
      9,
    );
  });

  it('is none where the light does not pass the level', () => {
    const { opening } = edges(100);
    expect(crossing(opening, DARK - 1)).toBeNull();
    expect(crossing({ ...opening, start: BEFORE + 20 }, DARK + HEIGHT + 1)).toBeNull();
  });
});

describe('the end of the light', () => {
  const SHUT = BEFORE + 200 + OPEN;
  const bump = (from: number, to: number, light: number) => (i: number) => (i >= from && i < to ? light : 0);

  it('is the crossing where it goes at once', () => {
    const { closing } = edges(100, bump(SHUT + 20, SHUT + 40, 50));
    expect(lightGone(closing, DARK + 2, DARK + 40, 6)).toEqual({
      at: expect.closeTo(SHUT - 1, 9),
      bounced: false,
    });
  });

  it('is the lowest point before it rises again, low down and by enough', () => {
    // At 10 samples before the end 20 codes are left; then 30 more come back.
    const { closing } = edges(100, bump(SHUT - 9, SHUT + 30, 30));
    expect(lightGone(closing, DARK + 2, DARK + 40, 6)).toEqual({ at: SHUT - 10, bounced: true });
    expect(lightGone(closing, DARK + 2, DARK + 15, 6)!.bounced).toBe(false);
    expect(lightGone(closing, DARK + 2, DARK + 40, 35)!.bounced).toBe(false);
  });

  it('is found by its bounce even if some light stays for good, and else not at all', () => {
    const staying = edges(100, (i) => (i >= SHUT - 9 ? 30 : 0)).closing;
    expect(lightGone(staying, DARK + 2, DARK + 40, 6)).toEqual({ at: SHUT - 10, bounced: true });
    expect(lightGone(staying, DARK + 2, DARK + 15, 6)).toBeNull();
  });
});
