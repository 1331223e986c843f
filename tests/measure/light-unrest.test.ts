import { describe, expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { codesIn, firingOf, knownFiring, lightFiring, remarkValue } from './known-firing.ts';
import { exactEffective, openFraction, openingOf, USUAL } from './known-light.ts';

const NONE = { reference: null };
type Unrest = (time: number) => number;
const flicker =
  (hertz: number, amplitude: number): Unrest =>
  (time) =>
    amplitude * Math.sin(2 * Math.PI * hertz * time + 1);

/** Figures of an opening of `effective` seconds in a light that changes by a share of itself. */
function figuresIn(unrest: Unrest, effective: number, seed = 1, converter = USUAL) {
  const opening = openingOf(effective, 'straight', 0.002);
  const light = (time: number) => openFraction(opening, time - 0.06) * (1 + unrest(time - 0.06));
  return measureFiring(lightFiring(light, 0.06 + effective + 0.13, seed, converter), NONE);
}

describe('flicker', () => {
  it.each([
    [100, 1 / 15],
    [120, 1 / 15],
    [100, 1 / 8],
    [120, 1 / 4],
    [100, 2],
    [120, 2],
  ])('of %i Hz is told by its frequency in %s s of open light, with its amplitude', (hertz, effective) => {
    const figures = figuresIn(flicker(hertz, 0.02), effective);
    expect(codesIn(figures)).toEqual([`flicker ${hertz} Hz`]);
    expect(remarkValue(figures, hertz === 100 ? 'flicker 100 Hz' : 'flicker 120 Hz')).toBeCloseTo(0.02, 3);
  });
  it('is found though the mains stray, or the clock does: half a hertz off for two seconds', () => {
    const figures = figuresIn(flicker(99.5, 0.02), 2);
    expect(remarkValue(figures, 'flicker 100 Hz')).toBeCloseTo(0.02, 3);
    expect(codesIn(figuresIn(flicker(120.6, 0.02), 2))).toEqual(['flicker 120 Hz']);
  });
  it('so strong that no plateau is flat is still found', () => {
    const figures = figuresIn(flicker(100, 0.12), 0.25);
    expect(remarkValue(figures, 'flicker 100 Hz')).toBeCloseTo(0.12, 1);
  });
  it('under half a percent is not mentioned, just above it is', () => {
    expect(codesIn(figuresIn(flicker(100, 0.004), 0.25))).toEqual([]);
    expect(codesIn(figuresIn(flicker(100, 0.006), 0.25))).toEqual(['flicker 100 Hz']);
  });
  it('is not looked for in less than 50 ms of open light, which can not tell one from the other', () => {
    expect(codesIn(figuresIn(flicker(100, 0.02), 1 / 25))).toEqual([]);
  });
  it('of another frequency is not put on the mains', () => {
    for (const hertz of [80, 140, 160, 300])
      expect(codesIn(figuresIn(flicker(hertz, 0.02), 0.5))).toEqual([]);
  });
  it('is seen by a shutter that is held open, too', () => {
    const light = (time: number) => (time < 0.06 ? 0 : 1 + flicker(120, 0.03)(time));
    const { samples } = lightFiring(light, 0.6, 4);
    const figures = measureFiring(firingOf(samples, { truncated: 'end' }), NONE);
    expect(codesIn(figures)).toEqual(['never closed', 'flicker 120 Hz']);
  });
});

describe('drift', () => {
  const ramp =
    (perSecond: number): Unrest =>
    (time) =>
      perSecond * time;

  it.each([0.03, -0.02])('of %s in one second is given with its sign', (perSecond) => {
    const figures = figuresIn(ramp(perSecond), 1);
    expect(codesIn(figures)).toEqual(['light drifts']);
    // As a share of the level in the middle, between the edges.
    expect(remarkValue(figures, 'light drifts')).toBeCloseTo((0.995 * perSecond) / (1 + perSecond / 2), 3);
  });
  it('under 1 % is not mentioned', () => {
    expect(codesIn(figuresIn(ramp(0.008), 1))).toEqual([]);
  });
  it('is not mistaken for flicker, nor flicker for drift', () => {
    expect(codesIn(figuresIn(ramp(0.3), 1 / 8))).toEqual([]);
    expect(codesIn(figuresIn(flicker(100, 0.02), 0.23))).toEqual(['flicker 100 Hz']);
    const both: Unrest = (time) => ramp(0.04)(time) + flicker(120, 0.02)(time);
    expect(codesIn(figuresIn(both, 1)).sort()).toEqual(['flicker 120 Hz', 'light drifts']);
  });
  it('takes 0.2 s of open light', () => {
    expect(codesIn(figuresIn(ramp(0.15), 0.19))).toEqual([]);
    expect(codesIn(figuresIn(ramp(0.15), 0.21))).toEqual(['light drifts']);
  });
});

it('a steady light is never said to flicker or to drift, however little of it there is', () => {
  for (const [height, noise] of [
    [200, 1],
    [35, 1],
    [60, 2],
  ] as const) {
    const opening = openingOf(0.3, 'squared', 0.004);
    for (let seed = 0; seed < 60; seed++) {
      const figures = measureFiring(knownFiring(opening, seed, { dark: 12.3, height, noise }), NONE);
      expect(codesIn(figures).filter((code) => code !== 'no shape figures')).toEqual([]);
      expect(Math.abs(figures.effective! - exactEffective(opening))).toBeLessThan(200e-6);
    }
  }
});

it('edges as slow as those of a gummed shutter are no flicker', () => {
  const opening = { shape: 'squared', rise: 0.03, open: 0.06, fall: 0.03 } as const;
  expect(codesIn(measureFiring(knownFiring(opening, 5), NONE))).toEqual([]);
});
