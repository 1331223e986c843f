import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { lastLight } from '../../app/practice/firing-plan.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { later, quiet } from './quiet-core.ts';
import { Listener, SLEEPING_HEX, START_UP, TESTER_HEX } from './tester-firmware.ts';

describe('iris and set-up', () => {
  const levels = { dark: 10, open: 210, noise: 0 };
  /** Steps above dark in the middle of a held-open shutter. */
  const openLight = (core: PracticeCore) => {
    core.holdOpen(0.5);
    later(core, 0.25);
    const light = core.lightAt(0, core.cycle) / 4 - levels.dark;
    later(core, 0.5);
    return light;
  };

  it('halve the light with every stop, unless only a part of the opening is used', () => {
    const core = new PracticeCore({ image: SLEEPING_HEX, seed: 1, light: levels });
    expect(core.state).toMatchObject({ iris: 0, seenShare: 1 });
    const seen = (stopsDown: number, share: number) => {
      core.setIris(stopsDown);
      core.setSeenShare(share);
      return openLight(core);
    };
    expect(seen(0, 1)).toBeCloseTo(200, 9);
    expect(seen(1, 1)).toBeCloseTo(100, 9);
    expect(seen(6, 1)).toBeCloseTo(200 / 64, 9);
    expect(seen(0, 0.8)).toBeCloseTo(200, 9);
    expect(seen(1, 0.8)).toBeCloseTo(125, 9);
    expect(seen(1, 0.5)).toBeCloseTo(200, 9);
    expect(seen(2, 0.5)).toBeCloseTo(100, 9);
    expect(core.state).toMatchObject({ iris: 2, seenShare: 0.5 });
  });

  it('let the opening fill sooner, by the time that is told as the truth', () => {
    const core = new PracticeCore({ image: SLEEPING_HEX, seed: 1, light: levels });
    core.setDial('1/250');
    for (const stopsDown of [0, 1, 3]) {
      core.setIris(stopsDown);
      core.fire();
      const { plan, startCycle, effectiveTime, stoppedDownTime, iris } = core.firings.at(-1)!;
      later(core, 0.2);
      let sum = 0;
      const step = 160;
      for (let cycle = startCycle; cycle < startCycle + lastLight(plan) * CLOCK_HZ; cycle += step)
        sum += core.lightAt(0, cycle) / 4 - levels.dark;
      const measured = ((sum / 200) * 2 ** stopsDown * step) / CLOCK_HZ;
      expect(iris).toBe(stopsDown);
      expect(Math.abs(measured - stoppedDownTime)).toBeLessThan(2e-6);
      if (stopsDown === 0) expect(stoppedDownTime).toBeCloseTo(effectiveTime, 12);
      else expect(stoppedDownTime).toBeGreaterThan(effectiveTime + 3e-4);
    }
  });

  it('are refused where they make no sense, and stay as they were', () => {
    const core = quiet();
    for (const stopsDown of [-1, 6.1, Number.NaN]) expect(() => core.setIris(stopsDown)).toThrow(RangeError);
    for (const share of [0, 1.1, Number.NaN]) expect(() => core.setSeenShare(share)).toThrow(RangeError);
    expect(core.state).toMatchObject({ iris: 0, seenShare: 1 });
  });
});

describe('lamp and reference light', () => {
  it('drift from when the light was set, and flicker on the mains', () => {
    const core = new PracticeCore({ image: SLEEPING_HEX, seed: 1 });
    later(core, 1);
    core.setLight({ dark: 10, open: 210, noise: 0, driftPerMinute: -0.06 });
    const set = core.cycle;
    core.holdOpen(12);
    later(core, 11);
    const steps = (cycle: number) => core.lightAt(0, cycle) / 4 - 10;
    expect(steps(set + 10 * CLOCK_HZ)).toBeCloseTo(200 * (1 - 0.01), 3);
    core.setLight({ dark: 10, open: 210, noise: 0, flicker: { hertz: 100, amplitude: 0.1 } });
    const period = Array.from({ length: 100 }, (_, n) => steps(set + CLOCK_HZ + (n * 0.01 * CLOCK_HZ) / 100));
    expect(Math.max(...period)).toBeCloseTo(220, 6);
    expect(Math.min(...period)).toBeCloseTo(180, 6);
    expect(period.reduce((sum, value) => sum + value, 0) / 100).toBeCloseTo(200, 6);
  });

  it('light the sensor together: the LED of D9 is seen with the shutter closed and open, and goes out at a reset', () => {
    const light = { dark: 10, open: 60, noise: 0, reference: 120 };
    const core = new PracticeCore({ image: TESTER_HEX, seed: 1, light });
    const listener = new Listener(core);
    listener.runFor(START_UP);
    const send = (bytes: Uint8Array) => core.write(bytes);
    const now = (channel = 0) => core.lightAt(channel, core.cycle) / 4;
    expect(now()).toBeCloseTo(10, 9);
    listener.ask(send, { type: 'pulses', tag: 1, width: 400_000, gap: 400_000, count: 9 });
    expect(now()).toBeCloseTo(130, 9);
    expect(now(1)).toBeCloseTo(10, 9);
    core.holdOpen(0.6);
    listener.runFor(0.1 * CLOCK_HZ);
    expect(now()).toBeCloseTo(180, 9);
    listener.runFor(0.2 * CLOCK_HZ);
    expect(now()).toBeCloseTo(60, 9);
    listener.runFor(0.15 * CLOCK_HZ);
    expect(now()).toBeCloseTo(180, 9);
    core.resetBoard();
    expect(now()).toBeCloseTo(60, 9);
  });

  it('come through a lag later and rounder, and as much light', () => {
    const sharp = new PracticeCore({ image: SLEEPING_HEX, seed: 2 });
    const slow = new PracticeCore({ image: SLEEPING_HEX, seed: 2 });
    const levels = { dark: 0, open: 200, noise: 0 };
    sharp.setLight(levels);
    slow.setLight({ ...levels, detectorLag: 0.5e-3 });
    const sums = [sharp, slow].map((core) => {
      core.setDial('1/500');
      core.fire();
      const { startCycle } = core.firings[0]!;
      later(core, 0.1);
      let area = 0;
      let moment = 0;
      for (let n = 0; n < 10_000; n++) {
        const light = core.lightAt(0, startCycle + n * 16);
        area += light;
        moment += light * n * 1e-6;
      }
      return { area, centre: moment / area, height: core.lightAt(0, startCycle + 0.002 * CLOCK_HZ) };
    });
    expect(sums[1]!.area / sums[0]!.area).toBeCloseTo(1, 6);
    // The mean delay of a first-order lag is its time constant.
    expect(sums[1]!.centre - sums[0]!.centre).toBeGreaterThan(0.48e-3);
    expect(sums[1]!.centre - sums[0]!.centre).toBeLessThan(0.51e-3);
    expect(sums[1]!.height).toBeLessThan(sums[0]!.height - 50);
  });

  it.each([
    { flicker: { hertz: 100, amplitude: 1.5 } },
    { driftPerMinute: Number.NaN },
    { reference: -1 },
    { detectorLag: 0.1 },
  ] as const)('are refused where they make no sense: %j', (extra) => {
    const core = quiet();
    expect(() => core.setLight({ dark: 5, open: 200, noise: 1, ...extra })).toThrow(RangeError);
    expect(core.state.light.open).toBe(205.7);
  });
});
