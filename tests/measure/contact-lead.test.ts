import { describe, expect, it } from 'vitest';
import type { StreamEvent } from '../../app/link/stream.ts';
import { BREAK_SECONDS, ContactLeadTest, MOST_BOUNCES } from '../../app/measure/contact-lead.ts';
import { ticks } from '../../firmware-protocol/units.ts';

const TICK_HZ = 2_000_000;
const FIRST = 40;
const at = (time: number) => ticks(Math.round((FIRST + time) * TICK_HZ));
const pass = (time: number): StreamEvent => ({
  kind: 'run',
  channel: 0,
  firstTick: at(time),
  ticksPerSample: 52,
  values: new Uint8Array(0),
});

/** Watches edges at these times, closing and opening by turns, for ten seconds. */
function watched(closed: boolean | null, times: readonly number[], lost: readonly number[] = []) {
  const test = new ContactLeadTest({ tickHz: TICK_HZ, closed });
  test.take(pass(0));
  let next = closed !== true;
  for (const [n, time] of times.entries()) {
    test.take({ kind: 'contact', tick: at(time), closed: next, lost: lost[n] ?? 0 });
    next = !next;
  }
  test.take(pass(10));
  return test;
}

describe('the test of the contact lead', () => {
  it('shows the contact live', () => {
    const test = new ContactLeadTest({ tickHz: TICK_HZ, closed: false });
    expect([test.closed, test.closures, test.bounces, test.seconds]).toEqual([false, 0, 0, 0]);
    test.take(pass(0));
    test.take({ kind: 'contact', tick: at(1), closed: true, lost: 0 });
    expect([test.closed, test.closures]).toEqual([true, 0]);
    test.take(pass(1.0011));
    expect(test.closures).toBe(1);
    test.take({ kind: 'contact', tick: at(1.5), closed: false, lost: 0 });
    expect([test.closed, test.closures, test.bounces]).toEqual([false, 1, 0]);
    expect(test.seconds).toBeCloseTo(1.5, 9);
    test.take({ kind: 'contact', tick: at(1.501), closed: true, lost: 0 });
    expect([test.closed, test.closures, test.bounces]).toEqual([true, 1, 1]);
  });

  it('passes a lead that closes and opens', () => {
    expect(watched(false, [1, 2, 3, 4]).result()).toEqual({
      state: 'works',
      closures: 2,
      bounces: 0,
      seconds: expect.closeTo(10, 6),
    });
    expect(watched(null, [1]).result()).toMatchObject({ state: 'works', closures: 1 });
    expect(watched(true, [1]).result()).toMatchObject({ state: 'works', closures: 1 });
    expect(watched(true, [1, 2]).result()).toMatchObject({ state: 'works', closures: 2 });
  });

  it('tells never closed from always closed, and from what nobody knows', () => {
    expect(watched(false, []).result()).toMatchObject({ state: 'never closed', closures: 0, bounces: 0 });
    expect(watched(true, []).result()).toMatchObject({ state: 'always closed' });
    expect(watched(null, []).result()).toBeNull();
  });

  it("does not take the board's first word on a closed contact for a closure", () => {
    expect(watched(null, [0.26], [1]).result()).toMatchObject({ state: 'always closed', bounces: 0 });
    expect(watched(null, [0.26, 3, 4], [1]).result()).toMatchObject({ state: 'works', closures: 2 });
  });

  it('counts a short break as a bounce and a longer one as two closures', () => {
    const broken = (time: number) => watched(false, [1, 2, 2 + time, 3]).result();
    expect(broken(BREAK_SECONDS - 1e-5)).toMatchObject({ closures: 1, bounces: 1, state: 'works' });
    expect(broken(BREAK_SECONDS + 1e-5)).toMatchObject({ closures: 2, bounces: 0 });
  });

  it.each([
    { bounces: MOST_BOUNCES, state: 'works' },
    { bounces: MOST_BOUNCES + 1, state: 'bounces' },
  ])('with $bounces bounces in one closure: $state', ({ bounces, state }) => {
    const touches = Array.from({ length: bounces }, (_, n) => [1 + 0.01 * n, 1.005 + 0.01 * n]).flat();
    expect(watched(false, [...touches, 1.01 + 0.01 * bounces, 2]).result()).toMatchObject({
      state,
      closures: 1,
      bounces,
    });
  });

  it('does not call touches of less than a millisecond closures', () => {
    expect(watched(false, [1, 1.0002]).result()).toMatchObject({ state: 'bounces', closures: 0, bounces: 0 });
    expect(watched(false, [1, 1.0002, 1.001, 1.0012]).result()).toMatchObject({
      state: 'bounces',
      closures: 0,
    });
  });

  it('counts lost edges as bounces', () => {
    expect(watched(false, [1, 2], [0, 9]).result()).toMatchObject({
      state: 'bounces',
      closures: 1,
      bounces: 5,
    });
  });

  it('knows nothing of the contact after a gap until it moves', () => {
    const test = watched(true, []);
    test.take({ kind: 'gap', cause: 'damaged' });
    expect(test.closed).toBeNull();
    expect(test.result()).toBeNull();
    test.take({ kind: 'contact', tick: at(11), closed: true, lost: 0 });
    test.take(pass(12));
    expect(test.result()).toMatchObject({ state: 'works', closures: 1 });
  });
});
