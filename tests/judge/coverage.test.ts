/** The 95 % intervals hold the truth about 95 times in a hundred, for as few firings as people make. */
import { describe, expect, it } from 'vitest';
import { nextShotOdds } from '../../app/judge/next-shot.ts';
import { addReading, NO_FIRINGS, summarise } from '../../app/judge/speed-statistics.ts';
import type { Interval } from '../../app/judge/verdict.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { reading } from './sample-readings.ts';

const SERIES = 2000;
const REFERENCE = seconds(1 / 60);
/** The shutter's own error and spread, in stops. */
const MEAN = 0.21;
const SD = 0.08;

const holds = ({ lower, upper }: Interval, value: number) => lower <= value && value <= upper;

describe.each([3, 5, 10])('of 2,000 series of %i firings, normal in stops', (n) => {
  const normal = seededNormal(seededRandom(20260700 + n));
  const firing = () => MEAN + SD * normal();
  const held = { meanInterval: 0, sdInterval: 0, nextInterval: 0 };
  let promised = 0;
  let kept = 0;
  for (let i = 0; i < SERIES; i++) {
    let running = NO_FIRINGS;
    for (let k = 0; k < n; k++) running = addReading(running, reading(REFERENCE * 2 ** firing()));
    const statistics = summarise(running, REFERENCE);
    const next = firing();
    if (holds(statistics.meanInterval!, MEAN)) held.meanInterval++;
    if (holds(statistics.sdInterval!, SD)) held.sdInterval++;
    if (holds(statistics.nextInterval!, next)) held.nextInterval++;
    // A lopsided band, laid by each series' own mean and spread: over all series its odds hold exactly.
    const band = {
      lower: statistics.meanInterval!.lower,
      upper: statistics.nextInterval!.upper,
    };
    promised += nextShotOdds(statistics, band)!;
    if (holds(band, next)) kept++;
  }

  it.each(Object.keys(held) as (keyof typeof held)[])('the %s holds the truth in 93 to 97 %%', (name) => {
    expect(held[name] / SERIES).toBeGreaterThanOrEqual(0.93);
    expect(held[name] / SERIES).toBeLessThanOrEqual(0.97);
  });

  it('as many next firings fall in a band as the odds promised', () => {
    expect(Math.abs(kept - promised) / SERIES).toBeLessThan(0.03);
  });
});
