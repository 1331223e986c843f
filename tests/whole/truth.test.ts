/**
 * Light of known shape through everything there is between it and a figure: the real firmware in the
 * emulated board, the wire, the link, the finder and the measurement. The truth is the closed form of the
 * shape, checked by adding up the very light that the board is shown.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { exactEffective, exactHalfHeight, type KnownOpening, openingOf } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { EmulatedBench, type KnownFiring } from './emulated-bench.ts';
import { ReadingChain } from './reading-chain.ts';

/** Slow ones first, as the bench asks for: they give the open level that a fast one may need. */
const SPEEDS = [1, 2, 8, 15, 60, 125, 250, 500];

const CASES = [
  { shape: 'straight', ramp: 0.0004, seed: 61 },
  { shape: 'straight', ramp: 0.002, seed: 62 },
  { shape: 'squared', ramp: 0.0004, seed: 63 },
  { shape: 'squared', ramp: 0.002, seed: 64 },
] as const;

/** The integral of the light, and the time between its halves, by brute force on the function itself. */
function addedUp(bench: EmulatedBench, { channel, opening, startCycle }: KnownFiring) {
  const light = (seconds: number) => bench.fraction(channel, startCycle + seconds * CLOCK_HZ);
  const end = opening.rise + opening.open + opening.fall;
  const midpoints = (from: number, to: number, steps: number) => {
    const step = (to - from) / steps;
    let sum = 0;
    for (let i = 0; i < steps; i++) sum += light(from + (i + 0.5) * step);
    return sum * step;
  };
  const closing = opening.rise + opening.open;
  const effective =
    midpoints(-0.001, 0, 100) +
    midpoints(0, opening.rise, 20_000) +
    midpoints(opening.rise, closing, 20_000) +
    midpoints(closing, end, 20_000) +
    midpoints(end, end + 0.001, 100);
  const whereHalf = (dark: number, bright: number) => {
    let [outside, inside] = [dark, bright];
    for (let i = 0; i < 60; i++) {
      const middle = (outside + inside) / 2;
      if (light(middle) < 0.5) outside = middle;
      else inside = middle;
    }
    return inside;
  };
  const middle = (opening.rise + closing) / 2;
  const halfOpen = whereHalf(-0.001, middle);
  return { effective, halfOpen, halfHeight: whereHalf(end + 0.001, middle) - halfOpen };
}

describe.each(CASES)('$shape edges of $ramp s with one step of noise', ({ shape, ramp, seed }) => {
  const openings: KnownOpening[] = SPEEDS.map((speed) => openingOf(1 / speed, shape, ramp));
  const chain = new ReadingChain(null);
  let bench: EmulatedBench;

  beforeAll(() => {
    const random = seededRandom(seed);
    bench = new EmulatedBench({ seed });
    for (const opening of openings) bench.expose(opening, random());
    for (const bytes of bench.bytes) chain.push(bytes);
  });

  it('arrive whole: eight firings, none of them spoilt, nothing lost on the way', () => {
    const { length, coding, crc, malformed } = chain.reader.counts;
    expect({ length, coding, crc, malformed }).toEqual({ length: 0, coding: 0, crc: 0, malformed: 0 });
    expect(chain.readings.map(({ kind }) => kind)).toEqual(SPEEDS.map(() => 'firing'));
    expect(chain.readings.map(({ firing }) => firing.spoilt)).toEqual(SPEEDS.map(() => null));
  });

  it.each(SPEEDS.map((speed, n) => ({ speed, n })))('are read truly at 1/$speed s', ({ speed, n }) => {
    const truth = exactEffective(openings[n]!);
    const halfHeight = exactHalfHeight(openings[n]!);
    expect(truth).toBeCloseTo(1 / speed, 12);
    const sum = addedUp(bench, bench.firings[n]!);
    expect(Math.abs(sum.effective - truth)).toBeLessThan(20e-9);
    expect(Math.abs(sum.halfHeight - halfHeight)).toBeLessThan(1e-9);

    const { firing, figures } = chain.readings[n]!;
    expect(Math.abs(figures.effective! - truth), 'effective time').toBeLessThan(5e-6 + 2e-4 * truth);
    expect(Math.abs(figures.halfHeight! - halfHeight), 'half-height time').toBeLessThan(10e-6);
    // The ticks themselves: the flash contact, timed by another part of the chip, stands where it closed.
    const closed = firing.contact.find((edge) => edge.closed)!;
    const read = (closed.tick - firing.firstTick) / firing.tickHz - figures.instants!.halfOpen;
    expect(Math.abs(read - (openings[n]!.rise - sum.halfOpen)), 'contact after half light').toBeLessThan(
      10e-6,
    );
    // And the firings are as far apart as they were.
    const sinceFirst = (firing.firstTick - chain.readings[0]!.firing.firstTick) / firing.tickHz;
    const apart = sinceFirst + figures.instants!.halfOpen - chain.readings[0]!.figures.instants!.halfOpen;
    const wereApart = (bench.firings[n]!.startCycle - bench.firings[0]!.startCycle) / CLOCK_HZ;
    expect(Math.abs(apart - wereApart), 'time between firings').toBeLessThan(10e-6);
  });

  it('say which open level each figure rests on', () => {
    // The larger the edges' share of the time, the more a reference can do; a triangle has nothing else.
    const edges = (opening: KnownOpening) => 1 - opening.open / exactEffective(opening);
    expect(chain.readings.map(({ figures }) => figures.levels!.openOrigin)).toEqual(
      openings.map((opening) => {
        if (opening.open < 1e-9) return 'reference';
        return edges(opening) > 0.06 ? 'plateau and reference' : 'plateau';
      }),
    );
  });
});
