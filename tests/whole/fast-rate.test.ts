/** Light of known shape at 76.92 kS/s: the real firmware, the wire, the link, the finder and the measurement. */
import { beforeAll, describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { exactEffective, exactHalfHeight, type KnownOpening, openingOf } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { EmulatedBench } from './emulated-bench.ts';
import { ReadingChain } from './reading-chain.ts';

/** Slow ones first: they give the open level that a fast one may need. */
const SPEEDS = [8, 60, 125, 250, 500, 1000];
const SEED = 67;

describe.each([
  { shape: 'straight', ramp: 0.0004 },
  { shape: 'squared', ramp: 0.0009 },
] as const)('at the fast rate, $shape edges of $ramp s with one step of noise', ({ shape, ramp }) => {
  const openings: KnownOpening[] = SPEEDS.map((speed) => openingOf(1 / speed, shape, ramp));
  const chain = new ReadingChain(null);
  let bench: EmulatedBench;

  beforeAll(() => {
    const random = seededRandom(SEED);
    bench = new EmulatedBench({ seed: SEED, rate: 'fast' });
    for (const opening of openings) bench.expose(opening, random());
    for (const bytes of bench.bytes) chain.push(bytes);
  });

  it('arrive whole from a board that says 26 ticks', () => {
    expect(chain.hello).toMatchObject({ ticksPerConversion: 26, tickHz: 2_000_000 });
    const { length, coding, crc, malformed } = chain.reader.counts;
    expect({ length, coding, crc, malformed }).toEqual({ length: 0, coding: 0, crc: 0, malformed: 0 });
    expect(chain.readings.map(({ kind }) => kind)).toEqual(SPEEDS.map(() => 'firing'));
    expect(chain.readings.map(({ firing }) => firing.spoilt)).toEqual(SPEEDS.map(() => null));
    expect(chain.readings.every(({ firing }) => firing.ticksPerSample === 26)).toBe(true);
  });

  it.each(SPEEDS.map((speed, n) => ({ speed, n })))('are read truly at 1/$speed s', ({ speed, n }) => {
    const truth = exactEffective(openings[n]!);
    expect(truth).toBeCloseTo(1 / speed, 12);
    const { firing, figures } = chain.readings[n]!;
    expect(Math.abs(figures.effective! - truth), 'effective time').toBeLessThan(5e-6 + 2e-4 * truth);
    expect(Math.abs(figures.halfHeight! - exactHalfHeight(openings[n]!)), 'half-height time').toBeLessThan(
      10e-6,
    );
    // The firings are as far apart as they were: ticks, not samples, carry the time.
    const half = (at: number) => chain.readings[at]!.figures.instants!.halfOpen;
    const apart =
      (firing.firstTick - chain.readings[0]!.firing.firstTick) / firing.tickHz + half(n) - half(0);
    const wereApart = (bench.firings[n]!.startCycle - bench.firings[0]!.startCycle) / CLOCK_HZ;
    expect(Math.abs(apart - wereApart), 'time between firings').toBeLessThan(10e-6);
  });
});
