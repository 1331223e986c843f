import { describe, expect, it } from 'vitest';
import { nearestThird, signedThirds, thirdsInStops } from '../../app/judge/thirds.ts';
import { stops } from '../../firmware-protocol/units.ts';

describe('the nearest third of a stop', () => {
  it.each([
    [0, 0],
    [0.16, 0],
    [0.17, 1],
    [-0.17, -1],
    [1 / 3, 1],
    [-0.34, -1],
    [0.49, 1],
    [0.51, 2],
    [0.84, 3],
    [1, 3],
    [-1.7, -5],
  ])('of %f is %d', (error, thirds) => {
    expect(nearestThird(stops(error))).toBe(thirds);
  });

  it.each([
    [1 / 6, 0],
    [-1 / 6, 0],
    [0.5, 1],
    [-0.5, -1],
    [5 / 6, 2],
    [-7 / 6, -3],
  ])('midway, at %f, is the one nearer to zero', (error, thirds) => {
    expect(nearestThird(stops(error))).toBe(thirds);
  });

  it('never gives a negative zero', () => {
    expect(Object.is(nearestThird(stops(-0.01)), 0)).toBe(true);
  });

  it.each([
    [0, '0', '0 stop'],
    [1, '+1/3', '1/3 stop'],
    [-2, '−2/3', '2/3 stop'],
    [3, '+1', '1 stop'],
    [-4, '−1 1/3', '1 1/3 stops'],
    [6, '+2', '2 stops'],
  ])('%d is written %s, as a size %s', (thirds, signed, size) => {
    expect(signedThirds(thirds)).toBe(signed);
    expect(thirdsInStops(thirds)).toBe(size);
  });
});
