import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ReferenceLevel } from '../../app/measure/figures.ts';
import { measureCurve } from '../../app/measure/measure-curve.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { codesIn, firingOf, knownFiring, lightFiring, remarkValue } from './known-firing.ts';
import { openFraction, openingOf, SECONDS_PER_SAMPLE, TICK_HZ } from './known-light.ts';

const NONE = { reference: null };
const reference = (height: number): ReferenceLevel => ({
  height,
  uncertainty: 0.02,
  firstTick: ticks(0),
  origin: 'slow firing',
});
const PLAIN = openingOf(1 / 60, 'straight', 0.002);

/** PLAIN from 0.22 s on, with something more added to it. */
const withLight = (more: (time: number) => number, length = 0.36) =>
  lightFiring((time) => openFraction(PLAIN, time - 0.22) + more(time), length, 11);
const bump = (at: number, width: number, share: number) => (time: number) =>
  time > at && time < at + width ? share * Math.sin((Math.PI * (time - at)) / width) ** 2 : 0;
const LAST_LIGHT = 0.22 + PLAIN.rise + PLAIN.open + PLAIN.fall;

describe('levels', () => {
  it('come from the dark on both sides and from the plateau', () => {
    const { levels, remarks } = measureFiring(knownFiring(PLAIN, 1), NONE);
    // A converter that floors reads half a step low.
    expect(levels!.dark).toBeCloseTo(11.8, 1);
    expect(levels!.open).toBeCloseTo(211.8, 0);
    expect(levels!.noise).toBeCloseTo(Math.sqrt(1 + 1 / 12), 1);
    expect(levels!.darkSamples).toBe(5 * Math.round(0.05 / SECONDS_PER_SAMPLE));
    expect(levels!.openUncertainty).toBeLessThan(0.06);
    expect(remarks).toEqual([]);
  });
  it('take a steady drift of the dark at its middle', () => {
    const drift = lightFiring((time) => openFraction(PLAIN, time - 0.22) + 0.02 * time, 0.36, 2);
    const { levels, effective } = measureFiring(drift, NONE);
    expect(levels!.dark).toBeGreaterThan(12.3);
    expect(Math.abs(effective! - 1 / 60)).toBeLessThan(10e-6);
  });
  it('say how little dark there was', () => {
    const firing = lightFiring((time) => openFraction(PLAIN, time - 0.02), 0.06, 2);
    const figures = measureFiring(firing, NONE);
    expect(remarkValue(figures, 'short dark')).toBeLessThan(0.03);
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(15e-6);
  });
});

describe('the open level', () => {
  it('is plateau and reference together when a short plateau agrees with it, and the plateau if it is long', () => {
    const origin = (effective: number) => {
      const firing = knownFiring(openingOf(effective, 'straight', 0.002), 1);
      const { levels, remarks } = measureFiring(firing, { reference: reference(200) });
      expect(remarks).toEqual([]);
      return levels!.openOrigin;
    };
    expect(origin(1 / 250)).toBe('plateau and reference');
    expect(origin(1 / 4)).toBe('plateau');
  });
  it('of a flat top at 90 % of the reference is the reference, with a low peak', () => {
    const figures = measureFiring(knownFiring(openingOf(1 / 125, 'straight', 0.001), 1), {
      reference: reference(200 / 0.9),
    });
    expect(figures.levels!.openOrigin).toBe('reference');
    expect(codesIn(figures)).toEqual(['reference level used', 'low peak']);
    expect(remarkValue(figures, 'low peak')).toBeCloseTo(0.9, 2);
    expect(figures.effective).toBeCloseTo(0.9 / 125, 4);
  });
  it('of a long flat top off the reference is its own, with a word about the light', () => {
    const figures = measureFiring(knownFiring(openingOf(0.25, 'straight', 0.001), 1), {
      reference: reference(200 / 0.9),
    });
    expect(figures.levels!.openOrigin).toBe('plateau');
    expect(remarkValue(figures, 'light changed')).toBeCloseTo(-0.1, 2);
    expect(Math.abs(figures.effective! - 0.25)).toBeLessThan(30e-6);
  });
  it('is not said to have changed by noise on a short top, at any height that is measured', () => {
    const opening = { shape: 'straight', rise: 0.002, open: 0.0003, fall: 0.002 } as const;
    for (const [height, noise] of [
      [35, 1],
      [50, 1],
      [100, 2],
      [200, 1],
    ] as const) {
      const held = { ...reference(height), uncertainty: 0.05 };
      const changed = Array.from({ length: 100 }, (_, seed) =>
        codesIn(
          measureFiring(knownFiring(opening, seed, { dark: 12.3, height, noise }), { reference: held }),
        ).includes('light changed'),
      ).filter(Boolean).length;
      expect(changed, `${height} steps, noise ${noise}`).toBe(0);
    }
  });
  it('of a shutter that opens halfway is the reference', () => {
    const half = (time: number) => 0.45 * openFraction(openingOf(1 / 125, 'straight', 0.003), time - 0.22);
    const figures = measureFiring(lightFiring(half, 0.36, 3), { reference: reference(200) });
    expect(figures.effective).toBeCloseTo(0.45 / 125, 5);
    expect(remarkValue(figures, 'low peak')).toBeCloseTo(0.45, 1);
    // Half of the reference was never reached, so there is no time between the half-light instants.
    expect(figures.halfHeight).toBeNull();
    expect(figures.instants).toBeNull();
  });
  it('is not spoilt by lamp ripple on a long opening', () => {
    const ripple = (time: number) =>
      openFraction(openingOf(0.2, 'straight', 0.002), time - 0.22) * (1 + 0.02 * Math.sin(628.3 * time));
    const figures = measureFiring(lightFiring(ripple, 0.56, 3), NONE);
    expect(figures.levels!.openOrigin).toBe('plateau');
    expect(figures.levels!.open).toBeCloseTo(211.8, 0);
    expect(Math.abs(figures.effective! - 0.2)).toBeLessThan(60e-6);
  });
  it('at the top of the range is saturated', () => {
    const figures = measureFiring(knownFiring(PLAIN, 1, { dark: 12, height: 260, noise: 1 }), NONE);
    expect(codesIn(figures)).toContain('saturated');
    expect(codesIn(measureFiring(knownFiring(PLAIN, 1, { dark: 12, height: 235, noise: 1 }), NONE))).toEqual(
      [],
    );
  });
});

describe('too little light', () => {
  it('under 30 steps is weak', () => {
    const figures = measureFiring(knownFiring(PLAIN, 1, { dark: 12, height: 25, noise: 1 }), NONE);
    expect(codesIn(figures)).toEqual(['weak light', 'no shape figures']);
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(100e-6);
  });
  it('under 100 steps gives no shape figures, but times', () => {
    const figures = measureFiring(knownFiring(PLAIN, 1, { dark: 12, height: 80, noise: 1 }), NONE);
    expect(codesIn(figures)).toEqual(['no shape figures']);
    expect(figures).toMatchObject({ total: null, efficiency: null, opening: null, closing: null });
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(30e-6);
    expect(Math.abs(figures.halfHeight! - 1 / 60)).toBeLessThan(40e-6);
  });
  it('at all gives nothing', () => {
    const figures = measureFiring(
      lightFiring(() => 0, 0.3, 1),
      NONE,
    );
    expect(figures).toMatchObject({
      effective: null,
      levels: null,
      remarks: [{ code: 'weak light', value: 0 }],
    });
  });
});

describe('rebound', () => {
  it('is left out of the effective time and given beside it', () => {
    const figures = measureFiring(withLight(bump(LAST_LIGHT + 0.008, 0.004, 0.2)), NONE);
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(9e-6);
    expect(figures.rebound!.effective).toBeCloseTo(0.0004, 5);
    expect(figures.rebound!.peak).toBeCloseTo(0.2, 1);
    expect(figures.rebound!.delay).toBeCloseTo(0.01, 3);
    expect(figures.effectiveWithRebound).toBeCloseTo(figures.effective! + figures.rebound!.effective, 12);
    expect(remarkValue(figures, 'rebound')).toBeCloseTo(0.0004 * 60, 3);
  });
  it('that begins before the blades are shut is parted at the lowest light', () => {
    // Closing reaches 5 % when the blades fly up again.
    const at = LAST_LIGHT - 0.0001;
    const figures = measureFiring(withLight(bump(at, 0.006, 0.3)), NONE);
    expect(figures.rebound!.effective).toBeCloseTo(0.0009, 4);
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(25e-6);
    expect(figures.total! - (LAST_LIGHT - 0.22)).toBeLessThan(0.5e-3);
  });
  it('under 3 % or after 60 ms is none', () => {
    expect(measureFiring(withLight(bump(LAST_LIGHT + 0.008, 0.004, 0.015)), NONE).rebound).toBeNull();
    expect(measureFiring(withLight(bump(LAST_LIGHT + 0.07, 0.004, 0.2)), NONE).rebound).toBeNull();
  });
  it('can be a steady glow: a blade not shut', () => {
    const glow = withLight((time) => (time > LAST_LIGHT ? 0.04 : 0));
    const figures = measureFiring(glow, NONE);
    expect(codesIn(figures)).toContain('rebound');
    const { value } = figures.remarks.find(({ code }) => code === 'glow after closing')!;
    expect(value).toBeCloseTo(0.04, 2);
    expect(Math.abs(figures.effective! - 1 / 60)).toBeLessThan(40e-6);
  });
});

describe('no measurement', () => {
  it('of a spoilt firing', () => {
    const figures = measureFiring({ ...knownFiring(PLAIN, 1), spoilt: 'data missing' }, NONE);
    expect(figures).toMatchObject({
      effective: null,
      levels: null,
      total: null,
      remarks: [{ code: 'spoilt' }],
    });
  });
  it('of a record that begins or ends in the light', () => {
    const { samples } = knownFiring(PLAIN, 1);
    const middle = Math.round(0.23 / SECONDS_PER_SAMPLE);
    const cutStart = measureFiring(firingOf(samples.slice(middle), { truncated: 'start' }), NONE);
    expect(cutStart.effective).toBeNull();
    expect(codesIn(cutStart)).toContain('truncated start');
    const cutEnd = measureFiring(firingOf(samples.slice(0, middle), { truncated: 'end' }), NONE);
    expect(cutEnd.effective).toBeNull();
    expect(remarkValue(cutEnd, 'never closed')).toBeCloseTo(0.01, 3);
  });
  it('but the open time when the board timed the edges', () => {
    const timed = { open: ticks(1000), close: ticks(1000 + TICK_HZ / 50) };
    const figures = measureFiring(firingOf(new Uint8Array(0), { timed, ticksPerSample: 0 }), NONE);
    expect(figures).toMatchObject({ total: 0.02, effective: null, remarks: [{ code: 'open time only' }] });
  });
});

describe('the clock of the board', () => {
  const clock = { ppm: 4321, uncertainty: 2, observedSeconds: 60 };
  const truly = (time: number) => time / 1.004321;

  it('that runs fast makes all seconds shorter by as much', () => {
    const firing = withLight(bump(LAST_LIGHT + 0.008, 0.004, 0.2));
    const nominal = measureFiring(firing, { reference: reference(200) });
    const figures = measureFiring(firing, { reference: reference(200), clock });
    const times = [
      'effective',
      'effectiveWithRebound',
      'halfHeight',
      'total',
      'opening',
      'closing',
      'openingFull',
      'closingFull',
      'fullyOpen',
    ] as const;
    for (const time of times) expect(figures[time]! / truly(nominal[time]!)).toBeCloseTo(1, 4);
    nominal.stoppedDown!.forEach((time, i) => {
      expect(figures.stoppedDown![i]! / truly(time)).toBeCloseTo(1, 4);
    });
    for (const [instant, time] of Object.entries(nominal.instants!)) {
      const corrected = figures.instants![instant as keyof typeof figures.instants];
      expect(corrected / truly(time)).toBeCloseTo(1, 4);
    }
    expect(figures.rebound!.effective / truly(nominal.rebound!.effective)).toBeCloseTo(1, 3);
    expect(figures.rebound!.delay / truly(nominal.rebound!.delay)).toBeCloseTo(1, 3);
    expect(figures.efficiency).toBeCloseTo(nominal.efficiency!, 4);
  });
  it('corrects an opening that the board timed, exactly', () => {
    const timed = { open: ticks(1000), close: ticks(1000 + TICK_HZ / 50) };
    const firing = firingOf(new Uint8Array(0), { timed, ticksPerSample: 0 });
    expect(measureFiring(firing, { reference: null, clock }).total).toBeCloseTo(0.02 / 1.004321, 15);
    expect(measureFiring(firing, { reference: null, clock: null }).total).toBe(0.02);
  });
});

describe('the detector', () => {
  it('is too slow for short open times by its sampling', () => {
    const short = measureFiring(knownFiring(openingOf(1 / 250, 'straight', 0.0004), 1), NONE);
    expect(remarkValue(short, 'detector slow')).toBeCloseTo(19_230.8, 1);
    expect(codesIn(measureFiring(knownFiring(openingOf(1 / 125, 'straight', 0.0004), 1), NONE))).toEqual([]);
  });
  it('or by its electronics', () => {
    const figures = measureFiring(knownFiring(PLAIN, 1), { reference: null, bandwidthHz: 2000 });
    expect(remarkValue(figures, 'detector slow')).toBe(2000);
  });
});

describe('properties', () => {
  const times = ['effective', 'halfHeight', 'total', 'opening', 'closing', 'fullyOpen'] as const;
  const curve = (shift: number, scale: number, offset: number) =>
    Float64Array.from({ length: 14_000 }, (_, i) => {
      const noise = 0.8 * Math.sin(i * 12.9898) * Math.cos(i * 78.233);
      return offset + scale * (100 * openFraction(PLAIN, (i - shift) * SECONDS_PER_SAMPLE - 0.21) + noise);
    });
  const measured = (samples: ArrayLike<number>) =>
    measureCurve({ samples, secondsPerSample: SECONDS_PER_SAMPLE, fullScale: 255 }, NONE);
  const base = measured(curve(0, 1.2, 10));

  it('a shift in time, a darker or brighter dark, a stronger light change no figure by much', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 400 }),
        fc.double({ min: 1.1, max: 2, noNaN: true }),
        fc.double({ min: 2, max: 40, noNaN: true }),
        (shift, scale, offset) => {
          const figures = measured(curve(shift, scale, offset));
          for (const time of times) {
            const tolerance = time === 'effective' || time === 'halfHeight' ? 3e-6 : 60e-6;
            expect(Math.abs(figures[time]! - base[time]!)).toBeLessThan(tolerance);
          }
        },
      ),
      { seed: 7, numRuns: 60 },
    );
  });
  it('any bytes at all give figures that are null or finite, and never an error', () => {
    const bytes = fc
      .array(fc.tuple(fc.integer({ min: 1, max: 900 }), fc.integer({ min: 0, max: 255 })), { maxLength: 12 })
      .map((steps) => Uint8Array.from(steps.flatMap(([n, code]) => Array<number>(n).fill(code))));
    fc.assert(
      fc.property(fc.oneof(bytes, fc.uint8Array({ maxLength: 3000 })), (samples) => {
        const figures = measureFiring(firingOf(samples), NONE);
        const numbers = [
          ...times.map((time) => figures[time]),
          figures.efficiency,
          figures.rebound?.effective ?? null,
          ...Object.values(figures.instants ?? {}),
          ...Object.values(figures.levels ?? {}).filter((value) => typeof value === 'number'),
        ];
        for (const number of numbers) expect(number === null || Number.isFinite(number)).toBe(true);
      }),
      { seed: 9, numRuns: 400 },
    );
  });
});
