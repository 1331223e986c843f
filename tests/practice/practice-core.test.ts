import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { resonatorPpm } from '../../app/practice/board-clock.ts';
import { lastLight, openFraction } from '../../app/practice/firing-plan.ts';
import { PracticeCore, type PracticeState } from '../../app/practice/practice-core.ts';
import { Listener, SLEEPING_HEX, START_UP, TESTER_HEX } from './tester-firmware.ts';

const TICK_HZ = 2_000_000;

/** A shutter before a board that does nothing. */
const quiet = (seed = 1) => new PracticeCore({ image: SLEEPING_HEX, seed });

function streaming(seed = 1) {
  const core = new PracticeCore({ image: TESTER_HEX, seed });
  const listener = new Listener(core);
  listener.runFor(START_UP);
  listener.ask((bytes) => core.write(bytes), { type: 'start', tag: 1 });
  return { core, listener };
}

const later = (core: PracticeCore, seconds: number) => core.run(core.cycle + seconds * CLOCK_HZ);

describe('light through the real firmware', () => {
  it('arrives as the samples of the very firing the core tells the truth about', () => {
    const { core, listener } = streaming();
    core.setDial('1/125');
    core.fire();
    listener.runFor(0.1 * CLOCK_HZ);
    const [firing] = core.firings;
    const { dark, open } = core.state.light;
    const edges = listener.of('edge').filter((edge) => edge.input === 'contact');
    expect(edges.map((edge) => edge.closed)).toEqual(firing!.plan.contact.map((change) => change.closed));
    // The timer starts some time after the reset: the first contact edge tells how ticks lie to the plan's time.
    const zero = edges[0]!.tick - firing!.plan.contact[0]!.at * TICK_HZ;
    for (const [n, edge] of edges.entries()) {
      expect(Math.abs(edge.tick - zero - firing!.plan.contact[n]!.at * TICK_HZ)).toBeLessThan(1.5);
    }
    let checked = 0;
    let sum = 0;
    for (const block of listener.of('samples')) {
      for (const [n, value] of block.values.entries()) {
        const fraction = openFraction(firing!.plan, (block.tick + 52 * n - zero) / TICK_HZ);
        // Noise of 1 step rms.
        expect(Math.abs(value + 0.5 - (dark + (open - dark) * fraction))).toBeLessThan(6);
        sum += (value + 0.5 - dark) / (open - dark);
        checked++;
      }
    }
    expect(checked).toBeGreaterThan(4000);
    // Noise in the sum: 1 step × √4000 × 26 µs / 199 steps is 8 µs.
    expect(Math.abs(sum * 26e-6 - firing!.effectiveTime)).toBeLessThan(40e-6);
  });

  it('falls on A0 alone', () => {
    const core = quiet();
    core.setDial('1/8');
    core.fire();
    const middle = core.firings[0]!.startCycle + 0.05 * CLOCK_HZ;
    expect(core.lightAt(0, middle)).toBeGreaterThan(700);
    expect(core.lightAt(1, middle)).toBeLessThan(60);
    expect(core.lightAt(2, middle)).toBeLessThan(60);
  });

  it('is the same for the same seed and doings, and remembers earlier firings', () => {
    const run = (seed: number) => {
      const core = quiet(seed);
      for (const mark of ['1/30', '1/250']) {
        core.setDial(mark);
        core.fire();
        later(core, 0.2);
      }
      return core;
    };
    expect(run(5).firings).toEqual(run(5).firings);
    expect(run(6).firings).not.toEqual(run(5).firings);
    const core = run(5);
    expect(core.lightAt(0, core.firings[0]!.startCycle + 0.01 * CLOCK_HZ)).toBeGreaterThan(700);
  });
});

describe('controls', () => {
  it('refuse a second release while the first firing runs, and take it afterwards', () => {
    const core = quiet();
    core.setDial('1/8');
    core.fire();
    expect(core.state.blades).toBe('exposing');
    later(core, 0.05);
    core.fire();
    expect(core.firings).toHaveLength(1);
    expect(core.state.note).toMatch(/still running/);
    later(core, 0.2);
    expect(core.state).toMatchObject({ blades: 'at rest', note: '' });
    core.fire();
    expect(core.firings).toHaveLength(2);
    expect(core.firings[1]!.startCycle).toBeGreaterThan(
      core.firings[0]!.startCycle + lastLight(core.firings[0]!.plan) * CLOCK_HZ,
    );
  });

  it('hold B open as long as the release is pressed, and not shorter than its blades need', () => {
    const core = quiet();
    core.setDial('B');
    core.press();
    later(core, 0.8);
    expect(core.state.blades).toBe('held open');
    expect(core.firings[0]!.effectiveTime).toBe(Number.POSITIVE_INFINITY);
    const released = core.cycle;
    core.letGo();
    const [firing] = core.firings;
    const closes = firing!.startCycle + (firing!.plan.opening.duration + firing!.plan.fullyOpen) * CLOCK_HZ;
    expect(closes).toBeCloseTo(released, 3);
    expect(firing!.effectiveTime).toBeGreaterThan(0.75);
    later(core, 0.1);
    expect(core.state.blades).toBe('at rest');
    core.fire();
    expect(core.firings[1]!.plan.fullyOpen).toBe(0.05);
  });

  it('hold the blades open at any mark, for a look at the light', () => {
    const core = quiet();
    core.holdOpen(0.5);
    expect(core.firings[0]).toMatchObject({ mark: null, plan: { fullyOpen: 0.5 } });
    expect(core.state.blades).toBe('held open');
    later(core, 0.6);
    expect(core.state.blades).toBe('at rest');
    expect(() => core.holdOpen(-1)).toThrow(RangeError);
  });

  it('turn the governor between its stops', () => {
    const core = quiet();
    core.turnGovernor(3);
    expect(core.state).toMatchObject({ governorQuarterTurns: 3, note: '' });
    core.turnGovernor(-30);
    expect(core.state.governorQuarterTurns).toBe(-8);
    expect(core.state.note).toMatch(/stop/);
    core.setDial('1/60');
    core.fire();
    expect(core.firings[0]!.governorQuarterTurns).toBe(-8);
    expect(core.firings[0]!.effectiveTime).toBeLessThan(0.0155);
  });

  it('play through what a gummed shutter may do: no firing, blades that stay open until they are freed', () => {
    const outcomes = new Set<string>();
    const core = quiet(3);
    core.setCondition('gummed');
    core.setDial('1/8');
    for (let n = 0; n < 120 && outcomes.size < 3; n++) {
      core.fire();
      const { outcome } = core.firings.at(-1)!.plan;
      outcomes.add(outcome);
      if (outcome === 'sticks open') {
        expect(core.state).toMatchObject({ blades: 'stuck open', note: 'The blades stay open.' });
        later(core, 3);
        expect(core.lightAt(0, core.cycle)).toBeGreaterThan(700);
        core.fire(); // cocking closes them
        expect(core.state.note).toMatch(/Release again/);
        expect(core.firings.at(-1)!.effectiveTime).toBeGreaterThan(2.9);
        expect(core.firings.at(-1)!.effectiveTime).toBeLessThan(3.1);
      } else if (outcome === 'does not fire') {
        later(core, 0.1);
        expect(core.state).toMatchObject({ blades: 'at rest', note: expect.stringMatching(/did not move/) });
      }
      later(core, outcome === 'exposes' ? core.firings.at(-1)!.totalOpenTime + 0.1 : 0.1);
      expect(core.state.blades).toBe('at rest');
    }
    expect(outcomes).toEqual(new Set(['exposes', 'does not fire', 'sticks open']));
  });

  it('refuse what there is not, and lose nothing by it', () => {
    const core = quiet();
    expect(() => core.setDial('1/1000')).toThrow(/no mark/);
    expect(() => core.setCondition('rusty' as 'gummed')).toThrow(/rusty/);
    expect(() => core.setLight({ dark: 10, open: 5, noise: 1 })).toThrow(/dark < open/);
    expect(core.state).toMatchObject({ dial: '1/60', condition: 'serviced' });
  });

  it('tell every change of state', () => {
    const states: PracticeState[] = [];
    const core = new PracticeCore({ image: SLEEPING_HEX, seed: 1, onState: (state) => states.push(state) });
    core.setDial('1/2');
    core.setCondition('rebound');
    core.setLight({ dark: 3, open: 100, noise: 0 });
    expect(states.map((state) => [state.dial, state.condition, state.light.open])).toEqual([
      ['1/2', 'serviced', 205.7],
      ['1/2', 'rebound', 205.7],
      ['1/2', 'rebound', 100],
    ]);
    expect(core.lightAt(0, 5)).toBe(12);
  });
});

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
