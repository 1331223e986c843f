/**
 * The fast rate through the real serial stack: taken up when the line proves clean, given up when it loses, and asked
 * for again. The board runs at half the pace of the clock, so that a busy machine keeps up with it.
 */
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { pause } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('is used on a clean line, left for the normal one when parts are lost, and tried again on demand', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const board = await rig.startBoard({ seed: 91, pace: 0.5 });
  await board.plug();
  const { page } = await rig.launch(origin, { rate: 'automatic' });
  const bench = new BenchPage(page, origin);
  const rateShown = (rate: string) =>
    page.waitForSelector(`[data-board=live] [data-rate-in-use=${rate}]`, { timeout: 60_000 });
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  await bench.connectBoard();
  await rateShown('fast');
  expect(board.line.speed).toBe(1_000_000);
  await board.setDial('1/60');
  await bench.setMark('1/60');
  const truths = [(await bench.fire(board)).truth];

  await board.damage({ rate: 1 / 20_000, seed: 92 });
  await rateShown('normal');
  await board.damage(null);
  expect(board.line.speed).toBe(500_000);
  expect(await page.textContent('.notices')).toMatch(/fast rate.*lost.*normal rate/s);
  truths.push((await bench.fire(board)).truth);

  await bench.open('settings');
  await page.click('[data-part=boards]');
  expect(await page.textContent('[data-action=try-fast-rate]')).toContain('again');
  await page.click('[data-action=try-fast-rate]');
  await rateShown('fast');
  await bench.open('bench');
  await pause(500);
  truths.push((await bench.fire(board)).truth);

  const good = (await bench.kept()).filter(({ firing }) => firing.spoilt === null);
  expect(good.map(({ firing }) => firing.ticksPerSample)).toEqual([26, 52, 26]);
  good.forEach(({ figures }, i) => {
    const difference = Math.abs((figures.effective ?? 0) - truths[i]!.effectiveTime);
    expect(difference).toBeLessThan(5e-6 + 2e-4 * truths[i]!.effectiveTime);
  });
});
