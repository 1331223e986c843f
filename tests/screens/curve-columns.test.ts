import { expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { curveColumns } from '../../app/screens/curve-columns.ts';
import { knownFiring } from '../measure/known-firing.ts';
import { openingOf } from '../measure/known-light.ts';

it.each([0, 3000, -3000])('draws curve and instants on one axis, with a clock %i ppm fast', (ppm) => {
  const firing = knownFiring(openingOf(1 / 125, 'straight', 0.002), 5, { dark: 12, height: 200, noise: 0.5 });
  const clock = { ppm, uncertainty: 1, observedSeconds: 60 };
  const figures = measureFiring(firing, { reference: null, clock });
  const { time, light } = curveColumns(firing, figures, ppm);
  const above = light.findIndex((percent) => percent! >= 50);
  const instants = figures.instants!;
  expect(Math.abs(time[above]! - 1000 * (instants.halfOpen - instants.firstLight))).toBeLessThan(0.06);
});
