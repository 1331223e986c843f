/**
 * The check that compares wide open with one stop down, on the practice shutter: its light is sampled as a converter
 * would and measured as any firing, wide open and stopped down each against its own open level.
 */
import { describe, expect, it } from 'vitest';
import { type IrisReading, irisCheck } from '../../app/judge/iris-check.ts';
import { irisCheckSentence } from '../../app/judge/iris-check-sentences.ts';
import type { Firing, ReferenceLevel } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference } from '../../app/measure/reference-level.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { lastLight } from '../../app/practice/firing-plan.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { SLEEPING_HEX } from '../practice/tester-firmware.ts';

const CYCLES_PER_SAMPLE = 416;

class Bench {
  readonly core: PracticeCore;
  #reference: ReferenceLevel | null = null;

  constructor(seed: number, mark: string) {
    this.core = new PracticeCore({ image: SLEEPING_HEX, seed });
    this.core.setDial(mark);
  }

  /** Sets the iris, reads the open level anew, and fires. */
  readings(stopsDown: number, count: number): IrisReading[] {
    this.core.setIris(stopsDown);
    this.#reference = null;
    this.core.holdOpen(0.2);
    this.#measure();
    return Array.from({ length: count }, () => {
      this.core.fire();
      return { figures: this.#measure() };
    });
  }

  #measure() {
    const { core } = this;
    const { plan, startCycle } = core.firings.at(-1)!;
    core.run(startCycle + (lastLight(plan) + 0.4) * CLOCK_HZ);
    const from = Math.round(startCycle - 0.22 * CLOCK_HZ);
    const count = Math.round(((0.34 + lastLight(plan)) * CLOCK_HZ) / CYCLES_PER_SAMPLE);
    const firing: Firing = {
      channel: 0,
      tickHz: CLOCK_HZ,
      firstTick: ticks(from),
      ticksPerSample: CYCLES_PER_SAMPLE,
      samples: Uint8Array.from({ length: count }, (_, i) =>
        Math.min(255, Math.floor(core.lightAt(0, from + i * CYCLES_PER_SAMPLE) / 4)),
      ),
      fullScale: 255,
      contact: [],
      truncated: 'no',
      spoilt: null,
    };
    const figures = measureFiring(firing, { reference: this.#reference });
    this.#reference = nextReference(this.#reference, firing, figures).reference;
    return figures;
  }
}

function checked(seenShare: number, mark = '1/500', stopsDown = 1, firings = 5, seed = 4) {
  const bench = new Bench(seed, mark);
  bench.core.setSeenShare(seenShare);
  return irisCheck(mark, bench.readings(0, firings), bench.readings(stopsDown, firings));
}

describe('iris check on the practice shutter', () => {
  it('finds the whole opening used', () => {
    const result = checked(1);
    expect(result).toMatchObject({ mark: '1/500', firingsOpen: 5, firingsStopped: 5 });
    expect(result.outcome).toBe('whole opening used');
    expect(result.lightShare).toBeCloseTo(0.5, 2);
    // Edges of 1.4 and 1.6 ms that grow as the square of time, 1.3 ms fully open: 2.88 against 2.30 ms.
    expect(result.expected).toBeCloseTo(0.328, 1);
    expect(Math.abs(result.found - result.expected)).toBeLessThan(0.04);
    expect(irisCheckSentence(result)).toMatch(
      /^One stop down 50 % of the light is left .* use the whole opening/,
    );
  });

  it('finds that only the central 80 % are used', () => {
    const result = checked(0.8);
    expect(result.outcome).toBe('part of the opening used');
    expect(result.lightShare).toBeCloseTo(0.625, 2);
    expect(result.interval.upper).toBeLessThan(result.expected);
    expect(irisCheckSentence(result)).toMatch(/only the central 80 % of the opening/);
  });

  it('finds that only the central half is used, where the time does not get longer at all', () => {
    const result = checked(0.5);
    expect(result.outcome).toBe('part of the opening used');
    expect(result.lightShare).toBeCloseTo(1, 2);
    expect(result.expected).toBeGreaterThan(0.15);
    expect(Math.abs(result.found)).toBeLessThan(0.04);
    expect(irisCheckSentence(result)).toMatch(/the central half or less/);
  });

  it('passes a share above five sixths, which it cannot tell from an iris a little off', () => {
    expect(checked(0.9).outcome).toBe('whole opening used');
  });

  it('decides nothing at a slow mark, where the iris changes little', () => {
    const result = checked(1, '1/15');
    expect(result.outcome).toBe('cannot be decided');
    expect(irisCheckSentence(result)).toMatch(/Use the fastest mark/);
  });

  it('sees an iris that was closed by two stops', () => {
    const result = checked(1, '1/500', 2);
    expect(result.outcome).toBe('not one stop');
    expect(irisCheckSentence(result)).toMatch(/25 % of the light/);
  });

  it('is right nearly always, with five firings either way', () => {
    const outcomes = { 1: 0, 0.8: 0, 0.5: 0 };
    const runs = 12;
    for (let seed = 100; seed < 100 + runs; seed++) {
      if (checked(1, '1/500', 1, 5, seed).outcome === 'whole opening used') outcomes[1]++;
      if (checked(0.8, '1/500', 1, 5, seed).outcome === 'part of the opening used') outcomes[0.8]++;
      if (checked(0.5, '1/500', 1, 5, seed).outcome === 'part of the opening used') outcomes[0.5]++;
    }
    expect(outcomes[1]).toBe(runs);
    expect(outcomes[0.8]).toBeGreaterThanOrEqual(runs - 1);
    expect(outcomes[0.5]).toBe(runs);
  });
});

describe('iris check on figures', () => {
  /** Straight edges of 2 ms at an effective time of 2 ms: G(f) = te + τ − τ·f at the share f of the opening. */
  const time = (f: number) => 0.004 - 0.002 * f;
  const reading = (effective: number, height: number, stoppedDown: number[] | null = null) =>
    ({
      figures: {
        effective,
        total: null,
        remarks: [],
        stoppedDown,
        levels: { dark: 5, open: 5 + height },
      },
    }) as unknown as IrisReading;
  const spread = [0.99, 1, 1.01];
  /** As seen through the central share c: the curve is cut at c, and its halves are c/2 of the opening. */
  const wide = (c: number) =>
    spread.map((x) => reading(x * time(c), 100, [x * time(c / 2), x * time(c / 4)]));
  const narrow = (c: number) =>
    spread.map((x) => reading(x * time(Math.min(c, 0.5)), (100 * Math.min(c, 0.5)) / c));

  it.each([1, 0.9, 0.8, 2 / 3, 0.5])('the time tells the same as the light: share %f', (c) => {
    const { expected, found, lightShare } = irisCheck('1/500', wide(c), narrow(c));
    expect(lightShare).toBeCloseTo(Math.min(1, 1 / (2 * c)), 9);
    expect(expected).toBeCloseTo(Math.log2(time(c / 2) / time(c)), 9);
    expect(found).toBeCloseTo(Math.log2(time(Math.min(c, 0.5)) / time(c)), 9);
    // In times, straight edges make it exactly 2 − 1/c; in stops, nearly.
    expect(found / expected).toBeCloseTo(2 - 1 / c, 1);
  });

  it('decides nothing when the light halved and the time did not get longer, as with a filter', () => {
    const filtered = spread.map((x) => reading(x * time(1), 50));
    expect(irisCheck('1/500', wide(1), filtered).outcome).toBe('cannot be decided');
  });

  it('decides nothing when the light stayed and the time got longer', () => {
    const brighter = spread.map((x) => reading(x * time(0.5), 90));
    expect(irisCheck('1/500', wide(1), brighter).outcome).toBe('cannot be decided');
  });

  it('has the interval of Welch for unequal spreads', () => {
    // By hand: sides of 2 and 3 values in stops, {0, 0.02} and {0.5, 0.5, 0.56}.
    const side = (logs: number[], height: number) =>
      logs.map((log) => reading(2 ** log, height, [2 ** log * 1.5, 2 ** log * 1.75]));
    const { found, interval } = irisCheck('1/500', side([0, 0.02], 100), side([0.5, 0.5, 0.56], 50));
    expect(found).toBeCloseTo(0.51, 12);
    // s² / n: 0.0002 / 2 = 1e-4 and 0.0012 / 3 = 4e-4; freedom (5e-4)² / (1e-8 / 1 + 16e-8 / 2) = 2.778.
    // Student's table has t(0.975) = 4.303 for 2 and 3.182 for 3 degrees of freedom (from memory): between them.
    const half = (interval.upper - interval.lower) / 2 / Math.sqrt(5e-4);
    expect(half).toBeGreaterThan(3.182);
    expect(half).toBeLessThan(3.5);
  });

  it('refuses less than two good readings on either side, and readings without an open level', () => {
    expect(() => irisCheck('1/500', wide(1).slice(0, 1), narrow(1))).toThrow(RangeError);
    const lost = narrow(1).map(({ figures }) => ({
      figures: { ...figures, remarks: [{ code: 'no open level' as const }] },
    }));
    expect(() => irisCheck('1/500', wide(1), lost)).toThrow(/two one stop down/);
  });
});
