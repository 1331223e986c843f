/** Chromium is killed in the middle of a series; whatever was shown as recorded must be there afterwards. */
import { afterEach, expect, it } from 'vitest';
import type { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('keeps every firing that was shown as recorded, with its samples, through a SIGKILL', async () => {
  const set = await setUpBench(77);
  rig = set.rig;
  const { board, browser, bench, origin } = set;
  await board.setDial('1/30');
  await bench.setMark('1/30');
  const recorded: string[] = [];
  for (let i = 0; i < 4; i++) recorded.push((await bench.fire(board)).id);
  // A fifth one is on its way to the disk, or not yet: it may be lost, those before it may not.
  await bench.waitForArmed();
  void board.fire().catch(() => {});
  await browser.page.waitForSelector('[data-kept=provisional], [data-kept=writing]');
  await browser.kill();

  const again = await rig.launch(origin, { profile: browser.profile });
  const page = new BenchPage(again.page, origin);
  await page.open('bench');
  await again.page.waitForSelector('[data-table=speeds] tr[data-mark="1/30"]');
  await expect.poll(async () => (await page.table()).get('1/30')?.n).toMatch(/^[45]$/);
  const kept = await page.kept();
  for (const id of recorded) {
    const firing = kept.find((one) => one.id === id);
    expect(firing, 'a recorded firing is there').toBeDefined();
    expect(firing!.firing.sampleCount).toBeGreaterThan(1000);
    expect(firing!.samplesKept).toBe(firing!.firing.sampleCount);
  }
  // The curve of the last one can be drawn again from the record.
  await again.page.waitForSelector('.plot canvas');
  expect(again.complaints).toEqual([]);
});
