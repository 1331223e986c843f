import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measureCurve } from '../../app/measure/measure-curve.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { SAMPLES_PER_BLOCK } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { hello } from '../link/fake-port.ts';
import { seededRandom } from '../seeded-random.ts';
import { ReadingChain } from '../whole/reading-chain.ts';
import {
  convert,
  type KnownOpening,
  openFraction,
  openingOf,
  SECONDS_PER_SAMPLE,
  USUAL,
} from './known-light.ts';

describe('figures do not depend on how the bytes came', () => {
  const SECONDS = 1.6;
  const openings = [
    { at: 0.3, opening: openingOf(1 / 15, 'straight', 0.002) },
    { at: 0.7, opening: openingOf(1 / 500, 'straight', 0.002) },
    { at: 1.1, opening: openingOf(1 / 125, 'squared', 0.002) },
  ];
  const light = (time: number) =>
    openings.reduce((sum, { at, opening }) => sum + openFraction(opening, time - at), 0);
  const count = Math.round(SECONDS / SECONDS_PER_SAMPLE / SAMPLES_PER_BLOCK) * SAMPLES_PER_BLOCK;
  const codes = convert(light, count, USUAL, seededRandom(77));
  const ticksPerSample = Math.round(SECONDS_PER_SAMPLE * hello.tickHz);
  const frames = Array.from({ length: count / SAMPLES_PER_BLOCK }, (_, block) => {
    const index = block * SAMPLES_PER_BLOCK;
    return encodeMessage({
      type: 'samples',
      sequence: block & 0xff,
      index,
      tick: ticks(index * ticksPerSample),
      mask: 1,
      first: 0,
      lost: 0,
      values: codes.subarray(index, index + SAMPLES_PER_BLOCK),
    });
  });
  const bytes = new Uint8Array(Buffer.concat(frames));
  /** Figures of all firings, the bytes coming in the given sizes, over and over. */
  const figures = (sizes: readonly number[]) => {
    const chain = new ReadingChain(hello);
    for (let at = 0, i = 0; at < bytes.length; i++) {
      const to = Math.min(at + sizes[i % sizes.length]!, bytes.length);
      chain.push(bytes.slice(at, to));
      at = to;
    }
    return chain.readings.map((reading) => reading.figures);
  };
  const whole = figures([bytes.length]);

  it('three firings are there, measured by their plateau, by the reference, and by both', () => {
    expect(whole.map(({ levels }) => levels!.openOrigin)).toEqual([
      'plateau',
      'reference',
      'plateau and reference',
    ]);
  });
  it('in chunks of any sizes they are the same to the last digit', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.integer({ min: 1, max: 300 }), fc.integer({ min: 1, max: 40_000 })), {
          minLength: 1,
          maxLength: 12,
        }),
        (sizes) => {
          expect(figures(sizes)).toEqual(whole);
        },
      ),
      { seed: 41, numRuns: 20 },
    );
  });
});

/** Unquantised samples without noise: dark, then the opening, then dark. */
function samplesOf(opening: KnownOpening, dark: number, height: number, from: number): Float64Array {
  const start = from * SECONDS_PER_SAMPLE;
  const length = start + opening.rise + opening.open + opening.fall + 0.13;
  return Float64Array.from(
    { length: Math.round(length / SECONDS_PER_SAMPLE) },
    (_, i) => dark + height * openFraction(opening, i * SECONDS_PER_SAMPLE - start),
  );
}

const edge = fc.double({ min: 0.0004, max: 0.004, noNaN: true });
const anyOpening = fc.record({
  shape: fc.constantFrom('straight' as const, 'squared' as const),
  rise: edge,
  open: fc.double({ min: 0.003, max: 0.1, noNaN: true }),
  fall: edge,
});
const TIMES = ['effective', 'halfHeight', 'total', 'opening', 'closing', 'fullyOpen'] as const;

describe('the light’s scale', () => {
  // From 116 steps on the threshold is 1 % whatever the height.
  const height = fc.double({ min: 120, max: 220, noNaN: true });
  const dark = fc.double({ min: 2, max: 30, noNaN: true });
  const measured = (samples: Float64Array) =>
    measureCurve({ samples, secondsPerSample: SECONDS_PER_SAMPLE, fullScale: 255 }, { reference: null });

  it('changes no time: more light, or more dark under it', () => {
    fc.assert(
      fc.property(anyOpening, dark, dark, height, height, (opening, dark1, dark2, height1, height2) => {
        const one = measured(samplesOf(opening, dark1, height1, 4000));
        const other = measured(samplesOf(opening, dark2, height2, 4000));
        for (const time of TIMES) expect(Math.abs(one[time]! - other[time]!), time).toBeLessThan(1e-6);
        one.stoppedDown!.forEach((time, i) => {
          expect(Math.abs(time - other.stoppedDown![i]!)).toBeLessThan(1e-6);
        });
      }),
      { seed: 42, numRuns: 60 },
    );
  });
  it('nor does a later begin, by samples or by parts of one', () => {
    fc.assert(
      fc.property(anyOpening, fc.double({ min: 0, max: 500, noNaN: true }), (opening, later) => {
        const one = measured(samplesOf(opening, 10, 200, 4000));
        const other = measured(samplesOf(opening, 10, 200, 4000 + later));
        // Between two samples the light is taken as straight; a corner between them costs a little.
        for (const time of TIMES) expect(Math.abs(one[time]! - other[time]!), time).toBeLessThan(4e-6);
      }),
      { seed: 43, numRuns: 60 },
    );
  });
});

describe('with given levels', () => {
  it('a plateau longer by n samples lengthens the effective time by exactly that', () => {
    // Edges of whole samples, steep enough that no sample of theirs passes for one of the plateau.
    const opening = fc.record({
      shape: fc.constantFrom('straight' as const, 'squared' as const),
      rise: fc.integer({ min: 8, max: 90 }),
      fall: fc.integer({ min: 8, max: 90 }),
      open: fc.integer({ min: 0, max: 1500 }),
    });
    const plateaus = fc.integer({ min: 1, max: 3000 });
    const height = fc.double({ min: 120, max: 220, noNaN: true });
    const effective = (of: KnownOpening, light: number) => {
      const { rise, open, fall } = of;
      const samples = Float64Array.from(
        { length: 4000 + rise + open + fall + 5000 },
        (_, i) => 10 + light * openFraction(of, i - 4000),
      );
      const given = { height: light, uncertainty: 0, drift: 0 };
      return measureCurve(
        { samples, secondsPerSample: SECONDS_PER_SAMPLE, fullScale: 255 },
        { reference: given },
      ).effective!;
    };
    fc.assert(
      fc.property(opening, plateaus, height, (of, n, light) => {
        const longer = effective({ ...of, open: of.open + n }, light) - effective(of, light);
        expect(Math.abs(longer - n * SECONDS_PER_SAMPLE)).toBeLessThan(1e-9);
      }),
      { seed: 44, numRuns: 100 },
    );
  });
});
