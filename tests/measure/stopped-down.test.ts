import { describe, expect, it } from 'vitest';
import type { ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { knownFiring, lightFiring } from './known-firing.ts';
import { openFraction, openingOf } from './known-light.ts';

const NONE = { reference: null };
const reference: ReferenceLevel = {
  height: 200,
  uncertainty: 0.02,
  firstTick: ticks(0),
  origin: 'light check',
};

/** 2^k · ∫ min(a, 2^−k) dt of any light, summed finely. */
function exactStoppedDown(light: (time: number) => number, length: number, stops: number): number {
  const step = 1e-6;
  let sum = 0;
  for (let time = 0; time < length; time += step) sum += Math.min(light(time), 2 ** -stops) * step;
  return sum * 2 ** stops;
}

describe('the times with the lens stopped down', () => {
  it.each([
    [1 / 500, 'straight'],
    [1 / 500, 'squared'],
    [1 / 125, 'squared'],
    [1 / 15, 'straight'],
  ] as const)('come from a noisy curve of %s s, %s edges', (effective, shape) => {
    const opening = openingOf(effective, shape, 0.002);
    const mean = new Float64Array(6);
    for (let seed = 0; seed < 10; seed++) {
      const { stoppedDown } = measureFiring(knownFiring(opening, seed), { reference });
      stoppedDown!.forEach((time, i) => {
        mean[i]! += time / 10;
      });
    }
    for (let i = 0; i < 6; i++) {
      const exact = exactStoppedDown((time) => openFraction(opening, time), 0.08, i + 1);
      // Each stop doubles what noise in the dark around the edges does to the time.
      expect(Math.abs(mean[i]! - exact), `${i + 1} stops`).toBeLessThan(15e-6 * Math.max(1, 2 ** (i - 3)));
    }
  });
  it('know that blades which bounce while opening leave a hole at full aperture only', () => {
    const opening = openingOf(1 / 60, 'straight', 0.002);
    // Down to a third of the light for 2 ms.
    const light = (time: number) =>
      openFraction(opening, time - 0.22) * (time > 0.226 && time < 0.228 ? 1 / 3 : 1);
    const { stoppedDown } = measureFiring(lightFiring(light, 0.36, 3), { reference });
    for (const stops of [1, 2]) {
      const exact = exactStoppedDown((time) => light(time), 0.36, stops);
      expect(Math.abs(stoppedDown![stops - 1]! - exact)).toBeLessThan(30e-6);
    }
  });
  it('of blades that open less than halfway are the light itself, as far as it is under the limit', () => {
    const opening = openingOf(1 / 125, 'straight', 0.003);
    const light = (time: number) => 0.45 * openFraction(opening, time - 0.22);
    const { stoppedDown, effective } = measureFiring(lightFiring(light, 0.36, 3), { reference });
    expect(stoppedDown![0]).toBeCloseTo(2 * 0.5 * 2 * effective!, 12);
    expect(Math.abs(stoppedDown![1]! - exactStoppedDown(light, 0.36, 2))).toBeLessThan(30e-6);
  });
  it('are left out where the open level is not known, and where the light is too weak for shapes', () => {
    const triangle = knownFiring(openingOf(1 / 500, 'straight', 0.002), 1);
    expect(measureFiring(triangle, NONE).stoppedDown).toBeNull();
    expect(measureFiring(triangle, { reference }).stoppedDown).toHaveLength(6);
    const weak = knownFiring(openingOf(1 / 60, 'straight', 0.002), 1, { dark: 12, height: 80, noise: 1 });
    expect(measureFiring(weak, NONE).stoppedDown).toBeNull();
  });
});
