/** The board's clock against the computer's: what is taken up of the comparison, its plot, beginning it anew. */
import type { ClockPoints } from '../../link/clock-check.ts';
import { view } from '../view.ts';
import { connectionInUse } from './connection-in-use.ts';

/** For a plot of the clock check; null while nothing is compared. */
export const clockPoints = (): ClockPoints | null => connectionInUse()?.session.clock?.points() ?? null;

export function restartClockCheck(): void {
  connectionInUse()?.session.clock?.restart();
  view.setState({ clock: null });
}

/** After so long an older comparison gives way to a newer one, though it be looser: resonators warm up. */
const CLOCK_HOLDS_MS = 600_000;
let clockSince = 0;
/** A looser comparison is not taken up: a board with a crystal is better than that by itself. */
const CLEAR_ENOUGH_PPM = 50;

/**
 * Takes up the comparison of the clocks as it stands. One that has just begun anew, after a stall of the
 * computer for instance, does not undo a good one: the board's rate is what it was.
 */
export function lookAtClock(): void {
  const session = connectionInUse()?.session;
  // That of a board that is gone says nothing of the next one.
  if (session?.state.phase !== 'live') return;
  const estimate = session.clock?.estimate() ?? null;
  if (estimate === null || estimate.uncertainty > CLEAR_ENOUGH_PPM) return;
  const { clock } = view.getState();
  const better = clock === null || estimate.uncertainty <= clock.uncertainty;
  if (!better && performance.now() - clockSince < CLOCK_HOLDS_MS) return;
  clockSince = performance.now();
  view.setState({ clock: estimate });
}
