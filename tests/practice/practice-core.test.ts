import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { lastLight, openFraction } from '../../app/practice/firing-plan.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import type { PracticeState } from '../../app/practice/practice-state.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { later, quiet } from './quiet-core.ts';
import { Listener, SLEEPING_HEX, START_UP, TESTER_HEX } from './tester-firmware.ts';

const TICK_HZ = 2_000_000;

function streaming(seed = 1) {
  const core = new PracticeCore({ image: TESTER_HEX, seed });
  const listener = new Listener(core);
  listener.runFor(START_UP);
  listener.ask((bytes) => core.write(bytes), { type: 'start', tag: 1 });
  return { core, listener };
}

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

describe('a line at 1 Mbaud', () => {
  it('makes the board stream at its fast rate, and the very firing arrives', () => {
    const core = new PracticeCore({ image: TESTER_HEX, seed: 3 });
    const listener = new Listener({
      get cycle() {
        return core.cycle;
      },
      run: (until) => core.run(until),
      takeBytes: () => core.takeBytes(BAUD_RATES.fast),
    });
    core.run(START_UP);
    core.takeBytes();
    core.write(encodeCommand({ type: 'hello', tag: 1 }), BAUD_RATES.fast);
    core.run(2 * START_UP);
    core.takeBytes();
    expect(core.baudRate).toBe(BAUD_RATES.fast);
    const send = (bytes: Uint8Array) => core.write(bytes, BAUD_RATES.fast);
    listener.ask(send, { type: 'hello', tag: 2 });
    expect(listener.of('hello')).toMatchObject([{ ticksPerConversion: 26 }]);
    listener.ask(send, { type: 'start', tag: 3 });
    core.setDial('1/125');
    core.fire();
    listener.runFor(0.1 * CLOCK_HZ);
    const values = listener.of('samples').flatMap((block) => [...block.values]);
    const { dark, open } = core.state.light;
    const lit = values.reduce((sum, value) => sum + (value + 0.5 - dark) / (open - dark), 0);
    expect(Math.abs((lit * 26) / TICK_HZ - core.firings[0]!.effectiveTime)).toBeLessThan(200e-6);
  });
});
