import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { resonatorPpm } from '../../app/practice/board-clock.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { quiet } from './quiet-core.ts';
import { SLEEPING_HEX } from './tester-firmware.ts';

describe('a resonator that is off', () => {
  it('makes the board count more ticks for the same true time', () => {
    const fire = (clockPpm: number) => {
      const core = new PracticeCore({
        image: SLEEPING_HEX,
        seed: 3,
        clockPpm,
        light: { dark: 0, open: 200, noise: 0 },
      });
      core.setDial('1/2');
      core.fire();
      const { startCycle, effectiveTime, totalOpenTime } = core.firings[0]!;
      const closed = (cycles: number) => core.lightAt(0, startCycle + cycles) === 0;
      let lit = 0;
      for (let step = 2 ** 24; step >= 1; step /= 2) if (!closed(lit + step)) lit += step;
      return { lit: lit / CLOCK_HZ, effectiveTime, totalOpenTime };
    };
    const [exact, fast] = [fire(0), fire(4321)];
    expect(exact.lit).toBeCloseTo(exact.totalOpenTime, 6);
    expect(fast.effectiveTime).toBe(exact.effectiveTime);
    expect((fast.lit / exact.lit - 1) * 1e6).toBeCloseTo(4321, -1);
  });

  it('runs as many more cycles as time has passed', () => {
    const core = new PracticeCore({ image: SLEEPING_HEX, seed: 1, clockPpm: -2500 });
    expect(core.state.clockPpm).toBe(-2500);
    core.advance(0);
    for (let now = 4; now <= 2000; now += 4) core.advance(now);
    expect(core.cycle / (2 * CLOCK_HZ)).toBeCloseTo(1 - 0.0025, 6);
  });

  it('is within 3000 ppm by the seed, and not the same for every seed', () => {
    const all = Array.from({ length: 200 }, (_, seed) => resonatorPpm(seed));
    expect(Math.max(...all.map(Math.abs))).toBeLessThanOrEqual(3000);
    expect(Math.max(...all)).toBeGreaterThan(2500);
    expect(Math.min(...all)).toBeLessThan(-2500);
    expect(resonatorPpm(7)).toBe(all[7]);
    expect(() => new PracticeCore({ image: SLEEPING_HEX, seed: 1, clockPpm: 20_000 })).toThrow(RangeError);
  });
});

describe('keeping up with the clock', () => {
  /** Cycles behind the clock that started at 0 with the board. */
  const at = (milliseconds: number) => milliseconds * 16_000;

  it('runs as many cycles as time has passed', () => {
    const core = quiet();
    expect(core.advance(5000)).toBe(false);
    for (let now = 5004; now <= 5100; now += 4) expect(core.advance(now)).toBe(false);
    expect(core.cycle - at(100)).toBeGreaterThanOrEqual(0);
    expect(core.cycle - at(100)).toBeLessThan(10);
  });

  it('catches up in slices after a pause', () => {
    const core = quiet();
    core.advance(0);
    expect(core.advance(200)).toBe(true);
    expect(core.cycle - at(50)).toBeLessThan(10);
    let calls = 1;
    while (core.advance(200)) calls++;
    expect(calls).toBe(3);
    expect(core.cycle - at(200)).toBeLessThan(10);
  });

  it('gives up what is more than 250 ms behind, once and for all', () => {
    const core = quiet();
    core.advance(0);
    while (core.advance(10_000));
    expect(core.cycle - at(250)).toBeLessThan(10);
    expect(core.state.skipped).toBe(1);
    while (core.advance(10_100));
    expect(core.cycle - at(350)).toBeLessThan(10);
    expect(core.state.skipped).toBe(1);
    while (core.advance(20_000));
    expect(core.state.skipped).toBe(2);
  });
});
