/** The self-timer, in the built page, through the practice bench. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BenchPage } from './bench-page.ts';
import { type BenchRig, setUpPractice } from './bench-rig.ts';
import { openSection, PRACTICE_CONTACT } from './camera-page.ts';

let rig: Omit<BenchRig, 'board'>;
let page: Page;
let bench: BenchPage;

beforeAll(async () => {
  rig = await setUpPractice();
  ({ bench } = rig);
  ({ page } = rig.browser);
});
afterAll(() => rig?.rig.close());

describe('the self-timer', () => {
  const step = (is: string) => page.waitForSelector(`[data-step="${is}"]`, { timeout: 30_000 });
  const run = (place: number) =>
    page.waitForSelector(`[data-run="${place}"]`, { timeout: 40_000 }).then((row) => row.textContent());

  it('is timed from the release switch to first light, and its firing is not filed', async () => {
    const filed = (await bench.kept()).length;
    await openSection(bench, 'Self-timer');
    await page.click('[data-action=self-timer]');
    await step('wait for release');
    await page.click(`${PRACTICE_CONTACT} [data-control=start-self-timer]`);
    await step('running');
    const words = await run(1);
    expect(words).toContain('release switch');
    const time = Number(/([\d.]+) s/.exec(words!.slice(1))![1]);
    expect(time).toBeGreaterThan(8);
    expect(time).toBeLessThan(12);
    expect(await page.textContent('[data-part=self-timer-mean]')).toContain(`ran ${time.toFixed(2)} s`);
    expect(await page.$$('[data-remark]')).toEqual([]);
    // The next run may follow: nothing has to be clicked between.
    await step('wait for release');
    expect(await bench.kept()).toHaveLength(filed);
  });

  it('is timed from a key as well, and said to be good to a tenth of a second', async () => {
    await page.waitForSelector(`${PRACTICE_CONTACT} [data-control=fire]:not([disabled])`, {
      timeout: 20_000,
    });
    const pressed = performance.now();
    await page.click('[data-action=self-timer-key]');
    await step('running');
    await page.waitForTimeout(1500);
    const released = performance.now();
    await page.click(`${PRACTICE_CONTACT} [data-control=fire]`);
    const words = await run(2);
    expect(words).toContain('key, ±0.1 s');
    const time = Number(/([\d.]+) s/.exec(words!.slice(1))![1]);
    expect(time).toBeGreaterThan(0.8 * ((released - pressed) / 1000));
    // Two runs so unlike each other hesitate.
    expect(await page.$('[data-remark=hesitates]')).not.toBeNull();
    await page.click('[data-action=end-self-timer]');
    await step('none');
  });

  it('leaves a run out for a reason, brings it back, deletes it and takes that back', async () => {
    await page.click('[aria-label="Set aside: run 2"]');
    await page.fill('[data-field=aside-reason]', 'released by hand');
    await page.keyboard.press('Enter');
    await page.waitForSelector('[data-run="2"][data-set-aside="released by hand"]');
    await page.waitForSelector('[data-remark=hesitates]', { state: 'detached' });
    await page.click('[aria-label="Bring back: run 2"]');
    await page.waitForSelector('[data-remark=hesitates]');
    await page.click('[aria-label="Delete run 2"]');
    await page.waitForSelector('[data-run="2"]', { state: 'detached' });
    await page.click('[data-action=undo]');
    await page.waitForSelector('[data-run="2"]');
    expect(rig.browser.complaints).toEqual([]);
  });
});
