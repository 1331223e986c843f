/** The checks of the camera that run on the board: the contact's lead, and the self-timer. */
import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import {
  abandonCheck,
  isChecking,
  takeCheckEvent,
  takeCheckFiring,
  takeCheckLight,
} from '../../app/screens/actions/checks.ts';
import { finishContactLead, startContactLead } from '../../app/screens/actions/contact-lead-check.ts';
import { releaseByKey, startSelfTimer } from '../../app/screens/actions/self-timer-check.ts';
import { leadWord } from '../../app/screens/contact-lead-word.ts';
import { view } from '../../app/screens/view.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { firingOf } from '../measure/known-firing.ts';
import { knownRecord, openingOf, TICK_HZ, TICKS_PER_SAMPLE } from '../measure/known-light.ts';

const hello = { tickHz: TICK_HZ, ticksPerConversion: TICKS_PER_SAMPLE, bits: 8, channels: 1 } as Hello;
const troubles = () =>
  view
    .getState()
    .notices.map(({ text }) => text)
    .join(' ');

beforeEach(() => {
  vi.useFakeTimers();
  view.setState({
    job: newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }),
    stage: 'as found',
    notices: [],
    checking: null,
    screen: 'camera',
    clock: null,
  });
});
afterEach(() => {
  abandonCheck();
  vi.useRealTimers();
});

/** A stretch of dark, so that the stream's time goes on. */
function run(from: number, to: number): void {
  takeCheckEvent({
    kind: 'run',
    channel: 0,
    firstTick: ticks(from * TICK_HZ),
    ticksPerSample: TICKS_PER_SAMPLE,
    values: new Uint8Array(Math.round(((to - from) * TICK_HZ) / TICKS_PER_SAMPLE)),
  });
}

describe('the contact lead', () => {
  const contact = (at: number, closed: boolean) =>
    takeCheckEvent({ kind: 'contact', tick: ticks(at * TICK_HZ), closed, lost: 0 });
  const begin = (contactClosed: boolean | null = false) =>
    startContactLead({ hello, contactClosed, over: () => {} });
  const kept = () => view.getState().job!.checks.map((check) => 'result' in check && check.result);

  it('is shown live, and kept with what it did', () => {
    begin();
    expect(view.getState().checking).toMatchObject({ closed: false, closures: 0 });
    run(0, 1);
    contact(1, true);
    expect(view.getState().checking).toMatchObject({ closed: true });
    run(1, 1.5);
    contact(1.5, false);
    vi.advanceTimersByTime(2000);
    expect(view.getState().checking).toMatchObject({ closed: false, closures: 1, seconds: 2 });
    finishContactLead();
    expect(kept()).toEqual([{ state: 'works', closures: 1, bounces: 0, seconds: 2 }]);
    expect(view.getState().checking).toBeNull();
  });

  it('is not called dead before anybody can have worked it', () => {
    begin();
    run(0, 1);
    vi.advanceTimersByTime(1000);
    finishContactLead();
    expect(kept()).toEqual([]);
    expect(troubles()).toContain('Work the contact');
    vi.advanceTimersByTime(4500);
    finishContactLead();
    expect(kept()).toMatchObject([{ state: 'never closed' }]);
  });

  it('tells a short circuit, and says nothing of a contact of which nothing is known', () => {
    begin(true);
    run(0, 6);
    vi.advanceTimersByTime(6000);
    finishContactLead();
    expect(kept()).toMatchObject([{ state: 'always closed' }]);
    begin(null);
    run(7, 14);
    vi.advanceTimersByTime(7000);
    finishContactLead();
    expect(kept()).toHaveLength(1);
    expect(isChecking()).toBe(true);
  });

  it('has one word at a time', () => {
    const never = Number.NEGATIVE_INFINITY;
    const so = { closed: false, closures: 0, bounces: 0, seconds: 1 };
    expect(leadWord(so, never)).toBe('open');
    expect(leadWord({ ...so, seconds: 5 }, never)).toBe('dead');
    expect(leadWord({ ...so, seconds: 5, closures: 1 }, never)).toBe('open');
    expect(leadWord({ ...so, closed: true }, never)).toBe('closed');
    expect(leadWord({ ...so, closed: true, seconds: 5 }, 4.8)).toBe('bouncing');
    expect(leadWord({ ...so, closed: null }, never)).toBe('not known yet');
  });
});

describe('the self-timer', () => {
  const begin = () => startSelfTimer({ hello, over: () => {} });
  const release = (at: number, pressed = true) =>
    takeCheckEvent({ kind: 'release', tick: ticks(at * TICK_HZ), pressed, lost: 0 });
  /** Its record begins so many seconds into the stream; where its first light is, the figures tell. */
  const firingAt = (at: number, change = {}) =>
    firingOf(knownRecord(openingOf(1 / 60, 'straight', 0.002), 7), {
      firstTick: ticks(at * TICK_HZ),
      ...change,
    });
  const runs = () => view.getState().job!.selfTimer;

  it('runs from the release switch to first light, by the board’s clock, run after run', () => {
    view.setState({ clock: { ppm: 4000, uncertainty: 1, observedSeconds: 60 } });
    begin();
    expect(view.getState().checking).toMatchObject({ step: 'wait for release', since: null });
    for (const [n, at] of [10, 40].entries()) {
      release(at);
      // Contacts of a switch bounce too: the first one counts.
      release(at + 0.002, false);
      release(at + 0.003);
      expect(view.getState().checking).toMatchObject({ step: 'running', startedBy: 'release switch' });
      run(at, at + 9.8);
      takeCheckLight();
      expect(view.getState().checking).toMatchObject({ step: 'light came' });
      takeCheckFiring(firingAt(at + 9.7));
      expect(runs()).toHaveLength(n + 1);
      expect(view.getState().checking).toMatchObject({ step: 'wait for release' });
    }
    // First light comes 0.22 s into the record.
    for (const { seconds, startedBy } of runs()) {
      expect(seconds).toBeCloseTo((9.7 + 0.22) / 1.004, 3);
      expect(startedBy).toBe('release switch');
    }
  });

  it('runs from a key by the page’s clock', () => {
    begin();
    expect(releaseByKey()).toBe(true);
    vi.advanceTimersByTime(9400);
    takeCheckLight();
    vi.advanceTimersByTime(300);
    takeCheckFiring(firingAt(9));
    expect(runs()).toMatchObject([{ startedBy: 'key', setAside: null }]);
    expect(runs()[0]!.seconds).toBeCloseTo(9.4, 2);
  });

  it('a board that times edges tells of first light when it is gone', () => {
    begin();
    release(1);
    takeCheckFiring(
      firingOf(new Uint8Array(0), { timed: { open: ticks(10.5 * TICK_HZ), close: ticks(11 * TICK_HZ) } }),
    );
    expect(runs()[0]!.seconds).toBeCloseTo(9.5, 9);
    releaseByKey();
    vi.advanceTimersByTime(8500);
    takeCheckFiring(
      firingOf(new Uint8Array(0), { timed: { open: ticks(20 * TICK_HZ), close: ticks(20.5 * TICK_HZ) } }),
    );
    expect(runs()[1]!.seconds).toBeCloseTo(8, 2);
  });

  it('keeps nothing of light without a release, and nothing of lost data', () => {
    begin();
    takeCheckLight();
    takeCheckFiring(firingAt(3));
    expect(troubles()).toContain('no release was seen');
    release(5);
    takeCheckLight();
    takeCheckFiring(firingAt(14, { spoilt: 'data missing' }));
    expect(troubles()).toContain('data were lost');
    expect(runs()).toEqual([]);
    expect(view.getState().checking).toMatchObject({ step: 'wait for release' });
  });

  it('keeps nothing of a shutter that was open at the release', () => {
    begin();
    run(0, 3.3);
    takeCheckLight();
    release(3.5);
    expect(view.getState().checking).toMatchObject({ step: 'running' });
    takeCheckFiring(firingAt(3));
    takeCheckLight();
    releaseByKey();
    expect(view.getState().checking).toMatchObject({ step: 'running' });
    vi.advanceTimersByTime(500);
    takeCheckFiring(firingAt(4));
    expect(runs()).toEqual([]);
    expect(troubles()).toContain('no release was seen');
  });

  it('is left without a word between runs, and with one in the middle of a run', () => {
    begin();
    releaseByKey();
    vi.advanceTimersByTime(9000);
    takeCheckLight();
    takeCheckFiring(firingAt(9));
    view.setState({ screen: 'bench' });
    expect(isChecking()).toBe(false);
    expect(troubles()).toBe('');
    view.setState({ screen: 'camera' });
    begin();
    releaseByKey();
    view.setState({ screen: 'bench' });
    expect(troubles()).toContain('its screen was left');
    expect(releaseByKey()).toBe(false);
  });

  it('ends when the board starts anew', () => {
    begin();
    release(1);
    takeCheckEvent({ kind: 'gap', cause: 'restarted' });
    expect(isChecking()).toBe(false);
    expect(troubles()).toContain('restarted');
  });
});
