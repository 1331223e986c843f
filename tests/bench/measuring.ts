/** How many firings a second are turned into their figures: of 1/500, and of 1 s with its some 51,000 samples. */
import type { Figures, Firing, ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference } from '../../app/measure/reference-level.ts';
import { knownFiring } from '../measure/known-firing.ts';
import { exactEffective, type KnownOpening, openingOf } from '../measure/known-light.ts';
import type { Figure } from './figure.ts';
import { median, rounded, takeTurns } from './rounds.ts';

const SHORT = openingOf(1 / 500, 'squared', 0.002);
const LONG = openingOf(1, 'squared', 0.002);
const FIRINGS = 8;
const ROUNDS = 25;

export async function measureMeasuring(): Promise<readonly Figure[]> {
  const long = Array.from({ length: FIRINGS }, (_, i) => knownFiring(LONG, 1000 + i));
  const short = Array.from({ length: FIRINGS }, (_, i) => knownFiring(SHORT, 2000 + i));
  const begun = performance.now();
  const figures = measured(long[0]!, null, LONG);
  const cold = performance.now() - begun;
  const { reference } = nextReference(null, long[0]!, figures);
  const times = takeTurns(
    {
      'long, no reference': () => long.forEach((firing) => void measured(firing, null, LONG)),
      'long, with reference': () => long.forEach((firing) => void measured(firing, reference, LONG)),
      'short, with reference': () => short.forEach((firing) => void measured(firing, reference, SHORT)),
    },
    ROUNDS,
  );
  const each = (name: keyof typeof times) => median(times[name]) / FIRINGS;
  const best = (name: keyof typeof times) => Math.min(...times[name]) / FIRINGS;
  const time = (name: keyof typeof times, words: string, more: string): Figure => ({
    quantity: `measuring a firing of 1 s, ${words}`,
    value: each(name),
    unit: 'ms',
    expectation: { most: 3 },
    detail: `best ${rounded(best(name))} ms${more}`,
  });
  const rate = (name: keyof typeof times, length: string): Figure => ({
    quantity: `firings of ${length} measured, with reference`,
    value: 1000 / each(name),
    unit: '1/s',
    expectation: null,
    detail: `best ${rounded(1000 / best(name))} 1/s`,
  });
  return [
    time('long, no reference', 'no reference', `; the very first call ${rounded(cold)} ms`),
    time('long, with reference', 'with reference', ''),
    rate('long, with reference', '1 s'),
    rate('short, with reference', '1/500'),
  ];
}

function measured(firing: Firing, reference: ReferenceLevel | null, opening: KnownOpening): Figures {
  const figures = measureFiring(firing, { reference });
  const truth = exactEffective(opening);
  if (figures.effective === null || Math.abs(figures.effective - truth) > 1e-3 * truth + 20e-6) {
    throw new Error(`A firing of ${truth} s was measured as ${figures.effective} s`);
  }
  return figures;
}
