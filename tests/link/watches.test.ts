/** Floods, sleeps and resets: the rules alone. */
import { describe, expect, it } from 'vitest';
import { BoardResets } from '../../app/link/board-resets.ts';
import { FLOOD_BYTES, FloodWatch, pauseForOthers } from '../../app/link/flood-watch.ts';
import { SleepWatch } from '../../app/link/sleep-watch.ts';

describe('a flood', () => {
  it('is none on a full line, for an hour, nor when a busy page reads five or ten seconds of it at once', () => {
    const watch = new FloodWatch(1_000_000);
    let never = true;
    for (let at = 0; at < 3_600_000; at += 10) {
      watch.take(1000, at);
      never &&= !watch.isFlooded && !watch.isBusy;
    }
    expect(never).toBe(true);
    for (let k = 0; k < 16; k++) watch.take(65_536, 3_610_000);
    expect(watch.isFlooded).toBe(false);
    expect(watch.isBusy).toBe(true);
  });

  it('is what comes faster than any line, after a stated amount', () => {
    expect(FLOOD_BYTES).toBe(2_097_152);
    const watch = new FloodWatch(500_000);
    let bytes = 0;
    for (let at = 0; !watch.isFlooded && at < 10_000; at++) {
      watch.take(10_000, at);
      bytes += 10_000;
    }
    expect(watch.isFlooded).toBe(true);
    expect(bytes).toBeLessThan(2 * FLOOD_BYTES);
  });

  it('is no matter of a clock that goes back', () => {
    const watch = new FloodWatch(500_000);
    watch.take(1000, 1e9);
    for (let k = 0; k < 100; k++) watch.take(10, 0);
    expect(watch.isFlooded).toBe(false);
  });

  it('leaves the page its turn', async () => {
    let had = false;
    setImmediate(() => {
      had = true;
    });
    for (let k = 0; k < 20 && !had; k++) await pauseForOthers();
    expect(had).toBe(true);
  });
});

describe('a sleep', () => {
  const S = 1000;

  it('shows by the calendar where the other clock stands still meanwhile', () => {
    const watch = new SleepWatch(0, 0);
    expect(watch.look(500, 500)).toBe(false);
    expect(watch.look(1000, 3600 * S)).toBe(true);
    expect(watch.look(1500, 3600 * S + 500)).toBe(false);
  });

  it('shows by the distance of two looks where both go on', () => {
    const watch = new SleepWatch(0, 0);
    expect(watch.look(600 * S, 600 * S)).toBe(true);
  });

  it('is not five seconds in which the page could do nothing, nor a corrected calendar', () => {
    const watch = new SleepWatch(0, 0);
    expect(watch.look(5 * S, 5 * S)).toBe(false);
    expect(watch.look(5.5 * S, 8 * S)).toBe(false);
    expect(watch.look(6 * S, 6 * S)).toBe(false);
  });
});

describe('resets', () => {
  const EXTERNAL = 2;
  const wordsAfter = (count: number, resetCause: number, everyMs = 1000) => {
    const resets = new BoardResets();
    for (let k = 0; k < count; k++) resets.note(k * everyMs);
    return resets.words({ resetCause }, true);
  };

  it('of a board that is opened are not worth a word, power-on included', () => {
    for (const cause of [0, 1, EXTERNAL, 1 | 4]) expect(wordsAfter(0, cause)).toBeNull();
  });

  it('in the middle are told, once as a word', () => {
    expect(wordsAfter(1, EXTERNAL)).toMatchObject({ serious: false });
  });

  it('while the board is being opened are not worth a word', () => {
    const resets = new BoardResets();
    resets.note(0);
    expect(resets.words({ resetCause: EXTERNAL }, false)).toBeNull();
    expect(resets.words({ resetCause: 4 }, false)).toMatchObject({ serious: true });
  });

  it('by a supply that fell too low name cable and hub, also before the first introduction', () => {
    for (const count of [0, 1, 5]) {
      expect(wordsAfter(count, 4)?.sentence).toMatch(/supply .*cable .*hub/);
      expect(wordsAfter(count, 4)?.serious).toBe(true);
    }
    expect(wordsAfter(5, 4)?.sentence).toContain('5 times within a minute');
  });

  it('by the watchdog name the firmware', () => {
    expect(wordsAfter(1, 8)?.sentence).toContain('firmware');
  });

  it('three times within a minute have one cause; far apart they have not', () => {
    expect(wordsAfter(3, EXTERNAL)?.sentence).toContain('3 times within a minute');
    expect(wordsAfter(3, EXTERNAL, 45_000)).toMatchObject({ serious: false });
  });

  it('ten times within a minute are too many', () => {
    const resets = new BoardResets();
    expect(Array.from({ length: 10 }, (_, k) => resets.note(k * 1000))).toEqual([
      ...Array(9).fill(true),
      false,
    ]);
  });
});
