/** The cable is pulled in the middle of a firing and plugged in again. */
import { afterEach, expect, it } from 'vitest';
import type { Rig } from '../rig/rig.ts';
import { pause, setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('says so, keeps all, counts the half firing as spoilt, and goes on by itself', async () => {
  const set = await setUpBench(78);
  rig = set.rig;
  const { board, browser, bench } = set;
  await board.setDial('1');
  await bench.setMark('1');
  const before = await bench.fire(board);

  await bench.waitForArmed();
  const half = board.fire();
  await browser.page.waitForSelector('[data-eye=open]');
  await pause(300);
  await board.unplug();
  await bench.waitForBoard('lost');
  expect(await bench.boardWords()).toContain('unplugged');
  await expect.poll(() => bench.figure('verdict')).toContain('spoilt: disconnected');
  expect(await browser.page.textContent('.notices')).toContain('Plug it in again');
  await half;

  await board.plug();
  await bench.waitForBoard('live');
  const after = await bench.fire(board);
  expect(after.id).not.toBe(before.id);
  expect((await bench.table()).get('1')?.n).toBe('2');
  const kept = await bench.kept();
  expect(kept.filter((firing) => firing.firing.spoilt === 'disconnected')).toHaveLength(1);
  expect(kept).toHaveLength(3);
  expect(
    Math.abs(kept.find((k) => k.id === after.id)!.figures.effective! - after.truth.effectiveTime),
  ).toBeLessThan(5e-6 + 2e-4);
});

it('notices a line that goes dead without a word from the browser, and a board that is reset', async () => {
  const set = await setUpBench(79);
  rig = set.rig;
  const { board, bench, browser } = set;
  await board.setDial('1/60');
  await bench.setMark('1/60');
  await bench.fire(board);
  await board.reset();
  const notices = () => browser.page.textContent('.notices');
  await expect.poll(notices, { timeout: 30_000 }).toMatch(/was reset/i);
  await bench.waitForBoard('live');
  // The open level known before the reset is not used again, not even once the board's new time has come to
  // stand behind that of the old one.
  await pause(6000);
  const after = await bench.fire(board);
  expect((await bench.table()).get('1/60')?.n).toBe('2');
  expect((await bench.kept()).find((firing) => firing.id === after.id)?.reference).toBeNull();
  await board.hangUp();
  await bench.waitForBoard('lost');
});
