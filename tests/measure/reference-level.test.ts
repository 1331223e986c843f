import { describe, expect, it } from 'vitest';
import type { Firing, ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference, validReference } from '../../app/measure/reference-level.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { knownFiring } from './known-firing.ts';
import { openingOf, TICK_HZ } from './known-light.ts';

const minute = (minutes: number) => ticks(minutes * 60 * TICK_HZ);
const at = (firing: Firing, minutes: number): Firing => ({ ...firing, firstTick: minute(minutes) });
const firing = (speed: number, height = 200) =>
  knownFiring(openingOf(1 / speed, 'straight', 0.002), speed, { dark: 12.3, height, noise: 1 });
const following = (current: ReferenceLevel | null, each: Firing) =>
  nextReference(current, each, measureFiring(each, { reference: validReference(current, each) }));
const next = (current: ReferenceLevel | null, each: Firing) => following(current, each).reference;

const held = next(null, at(firing(8), 1))!;

describe('a reference open level', () => {
  it('comes from a firing with a good plateau', () => {
    expect(Math.abs(held.height - 200)).toBeLessThan(0.1);
    expect(held.uncertainty).toBeLessThan(0.03);
    expect(held.firstTick).toBe(minute(1));
    expect(held.origin).toBe('slow firing');
  });
  it('does not come from a plateau shorter than a period of lamp flicker', () => {
    expect(next(null, firing(125))).toBeNull();
  });
  it('does not come from weak or saturated light, or from a spoilt firing', () => {
    expect(next(null, firing(8, 25))).toBeNull();
    expect(next(null, firing(8, 260))).toBeNull();
    expect(next(null, { ...firing(8), spoilt: 'data missing' })).toBeNull();
  });
  it('ends when weak or saturated light shows that the lamp is another, and a new one can be taken', () => {
    for (const height of [24, 260]) {
      expect(following(held, at(firing(2, height), 2))).toEqual({ reference: null, ended: 'light changed' });
    }
    expect(Math.abs(next(null, at(firing(2, 100), 3))!.height - 100)).toBeLessThan(0.1);
  });
  it('comes from a shutter held open', () => {
    const open = firing(2);
    const cut: Firing = { ...open, samples: open.samples.slice(0, 20_000), truncated: 'end' };
    expect(Math.abs(next(null, cut)!.height - 200)).toBeLessThan(0.1);
  });
  it('is kept by firings that show no plateau, or a shorter one', () => {
    expect(next(held, at(firing(500), 2))).toBe(held);
    expect(next(held, at(firing(60), 1.1))).toBe(held);
  });
  it('is renewed by a shorter plateau once it is so old that this one knows the level better', () => {
    const renewed = next(held, at(firing(60), 2))!;
    expect(renewed.firstTick).toBe(minute(2));
    expect(renewed.uncertainty).toBeGreaterThan(held.uncertainty);
    expect(renewed.uncertainty).toBeLessThan(0.06);
    expect(Math.abs(renewed.height - 200)).toBeLessThan(0.15);
  });
  it('is renewed by a long plateau that agrees', () => {
    expect(next(held, at(firing(4), 2))!.firstTick).toBe(minute(2));
  });
  it('is renewed by a long plateau even while it knows the level better', () => {
    const renewed = next(held, at(firing(15), 1.001))!;
    expect(renewed.uncertainty).toBeGreaterThan(1.2 * held.uncertainty);
    expect(renewed.firstTick).toBe(minute(1.001));
  });
  it('is replaced when a long plateau disagrees by more than 1 %', () => {
    const renewed = next(held, at(firing(8, 190), 2));
    expect(Math.abs(renewed!.height - 190)).toBeLessThan(0.1);
  });
  it('is dropped when a short plateau stands more than 1 % above it', () => {
    expect(next(held, at(firing(125, 210), 2))).toBeNull();
  });
  it('is kept when a fast firing stays below it: that is a finding about the blades', () => {
    expect(next(held, at(firing(125, 180), 2))).toBe(held);
  });
  it('is not used for a firing it no longer holds for', () => {
    expect(validReference(held, at(firing(500), 30))).toBe(held);
    expect(validReference(held, at(firing(500), 40))).toBeNull();
    expect(validReference(held, at(firing(500), 0.5))).toBeNull();
    expect(validReference(null, firing(500))).toBeNull();
  });
  it('is dropped after half an hour, and when the board has started anew', () => {
    expect(next(held, at(firing(500), 40))).toBeNull();
    expect(next(held, at(firing(500), 0))).toBeNull();
  });
  it('says why it holds no longer, also when another takes its place', () => {
    expect(following(null, at(firing(8), 2)).ended).toBeNull();
    expect(following(held, at(firing(8), 2)).ended).toBeNull();
    expect(following(held, at(firing(500), 2)).ended).toBeNull();
    expect(following(held, at(firing(125, 210), 2))).toEqual({ reference: null, ended: 'light changed' });
    expect(following(held, at(firing(8, 190), 2))).toMatchObject({
      reference: { firstTick: minute(2) },
      ended: 'light changed',
    });
    expect(following(held, at(firing(500), 40))).toEqual({ reference: null, ended: 'too old' });
    expect(following(held, at(firing(8), 40))).toMatchObject({
      reference: { firstTick: minute(40) },
      ended: 'too old',
    });
    expect(following(held, at(firing(500), 0))).toEqual({ reference: null, ended: 'board restarted' });
    expect(following(held, { ...at(firing(500), 40), spoilt: 'silence' })).toEqual({
      reference: null,
      ended: 'too old',
    });
  });
});
