import 'fake-indexeddb/auto';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import {
  abandonCheck,
  type CheckedBoard,
  isChecking,
  takeCheckEvent,
} from '../../app/screens/actions/checks.ts';
import { irisNext, startIrisCheck } from '../../app/screens/actions/iris-check.ts';
import { finishLightCheck, startLightCheck } from '../../app/screens/actions/light-check.ts';
import { startReferenceLight } from '../../app/screens/actions/reference-light.ts';
import { view } from '../../app/screens/view.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { SECONDS_PER_SAMPLE, TICK_HZ, TICKS_PER_SAMPLE } from '../measure/known-light.ts';

const jobOf = (id: string) => newJob({ id, number: id, received: '2031-04-02T09:00:00.000Z' });
const hello = { tickHz: TICK_HZ, ticksPerConversion: TICKS_PER_SAMPLE, bits: 8, channels: 1 } as Hello;

let tick = 0;
function board() {
  const over = vi.fn();
  const pulses = vi.fn<CheckedBoard['pulses']>(() => new Promise(() => {}));
  return { hello, channel: 0, contactClosed: false, pulses, over };
}

/** So many seconds of light; `codeAt` against seconds. */
function light(codeAt: number | ((time: number) => number), time: number): void {
  const code = typeof codeAt === 'number' ? () => codeAt : codeAt;
  for (let at = 0; at * SECONDS_PER_SAMPLE < time; at += 128) {
    const values = Uint8Array.from({ length: 128 }, (_, i) => code((at + i) * SECONDS_PER_SAMPLE));
    takeCheckEvent({
      kind: 'run',
      channel: 0,
      firstTick: ticks(tick),
      ticksPerSample: TICKS_PER_SAMPLE,
      values,
    });
    tick += 128 * TICKS_PER_SAMPLE;
  }
}

const troubles = () => view.getState().notices.map(({ text }) => text);
const checksKept = () => view.getState().job?.checks.map(({ kind, stage }) => [kind, stage]);

beforeEach(() => {
  tick = 1000;
  view.setState({
    job: jobOf('A-1'),
    stage: 'as found',
    notices: [],
    checking: null,
    screen: 'checks',
    reference: { held: null, since: null, ended: null },
  });
});
afterEach(() => abandonCheck());

it('a light check is kept with the job and stage it was begun for, and gives the open level', () => {
  const { over, ...rest } = board();
  startLightCheck({ ...rest, over });
  light(10, 2.1);
  expect(view.getState().checking).toMatchObject({ kind: 'light', step: 'wait for light' });
  light(200, 3);
  finishLightCheck();
  expect(checksKept()).toEqual([['light', 'as found']]);
  expect(view.getState().reference.held).toMatchObject({ height: 190, origin: 'light check' });
  expect(over).toHaveBeenCalledTimes(1);
});

it.each([
  ['another stage', { stage: 'as left' as const }],
  ['another job', { job: jobOf('B-2') }],
  ['another screen', { screen: 'bench' as const }],
])('ends without a result when %s is chosen', (_, chosen) => {
  const { over, ...rest } = board();
  startLightCheck({ ...rest, over });
  light(10, 2.1);
  light(200, 3);
  view.setState(chosen);
  expect(isChecking()).toBe(false);
  expect(view.getState().checking).toBeNull();
  expect(over).toHaveBeenCalledTimes(1);
  expect(troubles().join()).toContain('ended without a result');
  light(200, 60);
  finishLightCheck();
  expect(checksKept()).toEqual([]);
  expect(view.getState().reference.held).toBeNull();
});

it('a lamp that is chopped at 100 Hz is an open shutter, with flicker', () => {
  startLightCheck(board());
  light(10, 2.1);
  light((time) => ((100 * time) % 1 < 0.3 ? 220 : 10), 3);
  finishLightCheck();
  const check = view.getState().job!.checks.at(-1);
  expect(check?.kind === 'light' && check.result.problems).toContain('flicker');
});

it('goes on when something else of the job is changed', () => {
  startLightCheck(board());
  view.setState(({ job }) => ({ job: { ...job!, complaint: 'drags' }, mark: '1/60' }));
  expect(isChecking()).toBe(true);
});

it('says so when the dark turns out to have been light', () => {
  startLightCheck(board());
  light(200, 2.1);
  light(10, 0.1);
  expect(isChecking()).toBe(false);
  expect(troubles().join()).toContain('darker than the dark');
});

it('a light check of less than two seconds of light is not read', () => {
  startLightCheck(board());
  light(10, 2.1);
  light(200, 1);
  finishLightCheck();
  expect(checksKept()).toEqual([]);
  expect(isChecking()).toBe(true);
  expect(troubles().join()).toContain('two seconds');
});

it('ends the pulses on the board when the reference light is left', () => {
  const { pulses, ...rest } = board();
  startReferenceLight({ ...rest, pulses });
  light(10, 0.2);
  expect(pulses).toHaveBeenCalledTimes(1);
  abandonCheck();
  expect(pulses).toHaveBeenLastCalledWith(0, 0, 0);
  expect(checksKept()).toEqual([]);
});

it('an iris that was closed ends the open level, one that was not leaves it', () => {
  const reference = {
    held: { height: 180, uncertainty: 0.1, firstTick: ticks(0), origin: 'slow firing' as const },
    since: 1,
    ended: null,
  };
  view.setState({ reference });
  startIrisCheck('1/500', board());
  abandonCheck();
  expect(view.getState().reference).toEqual(reference);
  startIrisCheck('1/500', board());
  irisNext();
  abandonCheck();
  expect(view.getState().reference).toMatchObject({ held: null, ended: 'set-up changed' });
});
