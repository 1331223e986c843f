/** How long it takes to turn one firing of 1 s, some 51,000 samples, into its figures. */
import type { Figures, Firing, ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference } from '../../app/measure/reference-level.ts';
import { knownFiring } from '../measure/known-firing.ts';
import { exactEffective, openingOf } from '../measure/known-light.ts';
import type { Figure } from './figure.ts';
import { median, rounded, takeTurns } from './rounds.ts';

const OPENING = openingOf(1, 'squared', 0.002);
const FIRINGS = 8;
const ROUNDS = 25;

export async function measureMeasuring(): Promise<readonly Figure[]> {
  const firings = Array.from({ length: FIRINGS }, (_, i) => knownFiring(OPENING, 1000 + i));
  const begun = performance.now();
  const figures = measured(firings[0]!, null);
  const cold = performance.now() - begun;
  const reference = nextReference(null, firings[0]!, figures);
  const times = takeTurns(
    {
      first: () => firings.forEach((firing) => void measured(firing, null)),
      later: () => firings.forEach((firing) => void measured(firing, reference)),
    },
    ROUNDS,
  );
  const figure = (name: keyof typeof times, words: string, more: string): Figure => ({
    quantity: `measuring a firing of 1 s, ${words}`,
    value: median(times[name]) / FIRINGS,
    unit: 'ms',
    expectation: { most: 3 },
    detail: `best ${rounded(Math.min(...times[name]) / FIRINGS)} ms${more}`,
  });
  return [
    figure('first', 'no reference', `; the very first call ${rounded(cold)} ms`),
    figure('later', 'with reference', ''),
  ];
}

function measured(firing: Firing, reference: ReferenceLevel | null): Figures {
  const figures = measureFiring(firing, { reference });
  if (figures.effective === null || Math.abs(figures.effective - exactEffective(OPENING)) > 1e-3) {
    throw new Error(`A firing of 1 s was measured as ${figures.effective} s`);
  }
  return figures;
}
