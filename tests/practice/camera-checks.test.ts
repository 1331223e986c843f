import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { Random } from '../../app/practice/random.ts';
import { selfTimerRun } from '../../app/practice/self-timer.ts';
import { Listener, SLEEPING_HEX, START_UP, TESTER_HEX } from './tester-firmware.ts';

const TICK_HZ = 2_000_000;
const quiet = (seed = 1) => new PracticeCore({ image: SLEEPING_HEX, seed });
const later = (core: PracticeCore, seconds: number) => core.run(core.cycle + seconds * CLOCK_HZ);

function withFirmware(seed = 1) {
  const core = new PracticeCore({ image: TESTER_HEX, seed });
  const listener = new Listener(core);
  listener.runFor(START_UP);
  const edges = (input: 'contact' | 'release') => listener.of('edge').filter((edge) => edge.input === input);
  return { core, listener, edges };
}

describe('the release switch', () => {
  it('tells the board of each press, also where the blades stay shut', () => {
    const { core, listener, edges } = withFirmware();
    core.setDial('1/2');
    core.fire();
    listener.runFor(0.3 * CLOCK_HZ);
    core.fire(); // refused: the blades are open
    listener.runFor(0.5 * CLOCK_HZ);
    const release = edges('release');
    expect(release.map(({ closed, lost }) => [closed, lost])).toEqual([
      [true, 0],
      [false, 0],
      [true, 0],
      [false, 0],
    ]);
    expect((release[1]!.tick - release[0]!.tick) / TICK_HZ).toBeCloseTo(0.12, 3);
    // From the press to the contact, which closes near full opening; an interrupt is up to 10 µs late.
    const { releaseCycle, startCycle, plan } = core.firings[0]!;
    const truth = (startCycle - releaseCycle) / CLOCK_HZ + plan.contact[0]!.at;
    expect(Math.abs((edges('contact')[0]!.tick - release[0]!.tick) / TICK_HZ - truth)).toBeLessThan(15e-6);
  });

  it('stays down for as long as it is held', () => {
    const { core, listener, edges } = withFirmware();
    core.setDial('B');
    core.press();
    listener.runFor(0.7 * CLOCK_HZ);
    core.press();
    core.letGo();
    listener.runFor(0.1 * CLOCK_HZ);
    const release = edges('release');
    expect(release.map(({ closed }) => closed)).toEqual([true, false]);
    expect((release[1]!.tick - release[0]!.tick) / TICK_HZ).toBeCloseTo(0.7, 3);
  });
});

describe('the self-timer', () => {
  it('runs for 8 to 12 s from the release, then the blades open at the mark that was set', () => {
    const core = quiet(3);
    core.setDial('1/30');
    core.startSelfTimer();
    expect(core.state).toMatchObject({
      selfTimerRuns: true,
      blades: 'at rest',
      note: 'The self-timer runs.',
    });
    const { startCycle, releaseCycle, selfTimer, mark } = core.firings[0]!;
    const run = (startCycle - releaseCycle) / CLOCK_HZ;
    expect(run).toBeGreaterThan(9);
    expect(run).toBeLessThan(10.5);
    expect({ selfTimer, mark }).toEqual({ selfTimer: true, mark: '1/30' });
    const dark = core.lightAt(0, core.cycle);
    later(core, run - 0.5);
    expect(core.state.selfTimerRuns).toBe(true);
    expect(Math.abs(core.lightAt(0, core.cycle) - dark)).toBeLessThan(40);
    core.fire();
    core.startSelfTimer();
    expect(core.firings).toHaveLength(1);
    expect(core.state.note).toMatch(/self-timer is running/);
    later(core, 0.51);
    expect(core.state).toMatchObject({ selfTimerRuns: false, blades: 'exposing', note: '' });
    expect(core.lightAt(0, core.cycle)).toBeGreaterThan(700);
    later(core, 0.2);
    expect(core.state.blades).toBe('at rest');
  });

  it('is started by the release switch', () => {
    const { core, listener, edges } = withFirmware();
    core.startSelfTimer();
    listener.runFor(0.3 * CLOCK_HZ);
    expect(edges('release').map(({ closed }) => closed)).toEqual([true, false]);
    expect(edges('contact')).toEqual([]);
  });

  it('is refused at M, where it may jam, at B, and while the blades move', () => {
    const core = quiet();
    core.setSync('M');
    core.startSelfTimer();
    expect(core.state).toMatchObject({ selfTimerRuns: false, note: expect.stringMatching(/jam/) });
    core.setSync('X');
    core.setDial('B');
    core.startSelfTimer();
    expect(core.state).toMatchObject({ selfTimerRuns: false, note: expect.stringMatching(/at B/) });
    core.setDial('1/2');
    core.fire();
    core.startSelfTimer();
    expect(core.state.note).toMatch(/still running/);
    expect(core.firings).toHaveLength(1);
  });

  it('repeats within some tenths of a second when it is sound, and differs by more than a second when it hesitates', () => {
    const runs = (condition: 'serviced' | 'self-timer hesitates') => {
      const random = new Random(5);
      return Array.from({ length: 200 }, () => selfTimerRun(condition, random));
    };
    const sound = runs('serviced');
    expect(Math.min(...sound)).toBeGreaterThan(9.3);
    expect(Math.max(...sound)).toBeLessThan(10.1);
    const bad = runs('self-timer hesitates');
    expect(Math.max(...bad) - Math.min(...bad)).toBeGreaterThan(2);
    expect(Math.min(...bad)).toBeGreaterThan(9.7);
  });

  it('may end with blades that do not move', () => {
    const core = quiet(8);
    core.setCondition('gummed');
    core.setDial('1/8');
    const notes = new Set<string>();
    for (let n = 0; n < 400 && notes.size < 2; n++) {
      core.startSelfTimer();
      const firing = core.firings.at(-1)!;
      core.run(firing.startCycle + 1);
      expect(core.state.selfTimerRuns).toBe(false);
      if (firing.plan.outcome !== 'exposes') notes.add(core.state.note);
      core.freeBlades();
      later(core, 6);
    }
    expect(notes).toContain('The release went down; the blades did not move.');
  });
});

describe('the lever for flash', () => {
  it('at M lets the contact close before the blades move, and the blades come later', () => {
    const { core, listener, edges } = withFirmware();
    core.setSync('M');
    core.setDial('1/125');
    core.fire();
    const { plan, startCycle, releaseCycle } = core.firings[0]!;
    expect(plan.contact[0]!.at).toBeLessThan(-0.013);
    expect((startCycle - releaseCycle) / CLOCK_HZ).toBeGreaterThan(0.033);
    listener.runFor(0.1 * CLOCK_HZ);
    expect(edges('contact').map(({ closed }) => closed)).toEqual(plan.contact.map(({ closed }) => closed));
    expect(() => core.setSync('F' as 'M')).toThrow(RangeError);
  });
});

describe('the contact lead', () => {
  it('not plugged in keeps the shutter’s contact from the board', () => {
    const { core, listener, edges } = withFirmware();
    core.setLead('not plugged in');
    core.fire();
    core.touchContact(0.2);
    listener.runFor(0.5 * CLOCK_HZ);
    expect(edges('contact')).toEqual([]);
    expect(core.firings[0]!.plan.contact).not.toEqual([]);
    expect(() => core.setLead('gone' as 'plugged in')).toThrow(RangeError);
  });

  it('with a short circuit is told closed once, also after a reset of the board', () => {
    const { core, listener, edges } = withFirmware();
    core.setLead('short circuit');
    core.fire();
    listener.runFor(0.5 * CLOCK_HZ);
    expect(edges('contact').map(({ closed, lost }) => [closed, lost])).toEqual([[true, 0]]);
    core.resetBoard();
    listener.runFor(0.5 * CLOCK_HZ);
    expect(edges('contact').map(({ closed }) => closed)).toEqual([true, true]);
    expect(edges('contact')[1]!.lost).toBeGreaterThan(0);
    core.setLead('plugged in');
    listener.runFor(0.1 * CLOCK_HZ);
    expect(edges('contact').map(({ closed }) => closed)).toEqual([true, true, false]);
  });

  it('shows a contact that is touched by hand', () => {
    const { core, listener, edges } = withFirmware();
    core.touchContact(0.25);
    listener.runFor(0.4 * CLOCK_HZ);
    const contact = edges('contact');
    expect(contact.map(({ closed }) => closed)).toEqual([true, false, true, false]);
    expect((contact[3]!.tick - contact[2]!.tick) / TICK_HZ).toBeCloseTo(0.25, 5);
    expect(core.state.lead).toBe('plugged in');
  });
});
