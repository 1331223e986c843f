import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { SteadyLooks } from '../../app/link/steady-looks.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

it('looks by its timer alone while that comes in time, however much is heard', () => {
  let looks = 0;
  const steady = new SteadyLooks(250, () => looks++);
  for (let ms = 0; ms < 1000; ms += 10) {
    vi.advanceTimersByTime(10);
    steady.heard();
  }
  expect(looks).toBe(4);
  steady.stop();
  vi.advanceTimersByTime(1000);
  expect(looks).toBe(4);
});

it('looks with what is heard while the timer is held up, and once for all that fell due', () => {
  let looks = 0;
  const steady = new SteadyLooks(250, () => looks++);
  // A minute goes by in which no timer comes.
  const now = performance.now();
  vi.spyOn(performance, 'now').mockReturnValue(now + 60_000);
  for (let i = 0; i < 5; i++) steady.heard();
  expect(looks).toBe(1);
  vi.spyOn(performance, 'now').mockReturnValue(now + 60_300);
  steady.heard();
  expect(looks).toBe(1);
  vi.spyOn(performance, 'now').mockReturnValue(now + 60_400);
  steady.heard();
  expect(looks).toBe(2);
  steady.stop();
  vi.restoreAllMocks();
});
