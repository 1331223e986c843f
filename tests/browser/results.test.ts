/** The results screen over firings of the practice bench: the table, its chart by keys, curves over each other. */
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('shows every mark, reads values by keys and lays the curves over each other', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  await bench.open('start');
  await page.click('[data-action=practice]');
  await bench.waitForBoard('live');
  await bench.open('bench');
  for (const mark of ['1/30', '1/250']) {
    await page.selectOption('[data-control=dial]', mark);
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await bench.setMark(mark);
    for (let i = 0; i < 3; i++) {
      const before = await bench.shownId();
      await bench.waitForArmed();
      await page.keyboard.press('Space');
      await bench.waitForRecorded(before);
    }
  }
  const onBench = await bench.table();

  await bench.open('results');
  const cell = (mark: string, name: string) =>
    page.textContent(`[data-table=results] [data-stage="as found"] [data-mark="${mark}"][data-cell=${name}]`);
  for (const mark of ['1/30', '1/250']) {
    expect(await cell(mark, 'n')).toBe('3');
    expect(await cell(mark, 'mean')).toBe(onBench.get(mark)!.mean);
    expect(await cell(mark, 'error')).toBe(onBench.get(mark)!.error);
    expect(await cell(mark, 'expanded')).toMatch(/^±0\.\d+$/);
    expect(await cell(mark, 'sdInterval')).toMatch(/^0\.\d+ to \d\.\d+$/);
  }

  // The chart: the dial's mark is chosen, the arrow keys read its neighbour.
  await page.focus('.error-chart [data-column="1/250"]');
  expect(await page.textContent('[data-readout]')).toContain(await cell('1/250', 'mean'));
  await page.keyboard.press('ArrowLeft');
  await page.waitForSelector('[data-readout="1/30"]');
  expect(await page.textContent('[data-readout]')).toContain(await cell('1/30', 'mean'));
  expect(await page.evaluate(() => document.activeElement?.getAttribute('data-column'))).toBe('1/30');
  await page.waitForSelector('[data-details="1/30 as found"]');

  // Curves: three are drawn; keys move along the time and from firing to firing.
  await page.waitForSelector('[data-overlay="3"] canvas');
  const inked = await page.$eval('.overlay canvas', (canvas) => {
    const { width, height } = canvas as HTMLCanvasElement;
    const { data } = (canvas as HTMLCanvasElement).getContext('2d')!.getImageData(0, 0, width, height);
    let orange = 0;
    for (let i = 0; i < data.length; i += 4) if (data[i + 3]! > 0 && data[i]! > data[i + 2]! + 80) orange++;
    return orange;
  });
  expect(inked).toBeGreaterThan(500);
  await page.focus('[data-control=overlay-time]');
  const overlay = () => page.textContent('[data-read=overlay]');
  expect(await overlay()).toMatch(/^Firing 3, (at|0\.\d\d ms after) half open: [45]\d %/);
  await page.keyboard.press('ArrowUp');
  await expect.poll(overlay).toMatch(/^Firing 2, /);
  await page.keyboard.press('End');
  await expect.poll(overlay).toMatch(/^Firing 2, \d+\.\d\d ms after half open: −?\d %/);

  // The run order and the table follow the firing that was chosen.
  expect(await page.getAttribute('[data-table=firings] [aria-current]', 'data-firing')).toBe('2');
  await page.focus('.run-order [aria-pressed=true]');
  await page.keyboard.press('Home');
  await expect.poll(() => page.textContent('[data-read="run order"]')).toMatch(/^Firing 1: \d+\.?\d* ms/);

  expect(await page.locator('[data-table=budget] tbody tr').count()).toBeGreaterThan(3);
  expect(await page.locator('[data-table="stopped down"] tbody tr').count()).toBe(7);
  expect(await page.textContent('[data-findings="0"]')).toContain('Nothing stands out.');
  expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);

  // Other stages: as found stands beside as left, until the user wants to see two others.
  await bench.open('bench');
  for (const stage of ['trials', 'as left']) {
    await page.click(`.stages button:has-text("${stage}")`);
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await bench.firePractice();
  }
  await bench.open('results');
  const shownStages = () =>
    page.$$eval('[data-table=results] tbody', (all) => all.map(({ dataset }) => dataset.stage));
  await expect.poll(shownStages).toEqual(['as found', 'as left']);
  // The demonstration job says that as left the shutter is in the body.
  expect(await page.textContent('[data-unlike]')).toContain('shutter: bare, then in the body');
  await page.selectOption('[aria-label="Second stage"]', 'trials');
  await expect.poll(shownStages).toEqual(['as found', 'trials']);
  await page.selectOption('[aria-label="First stage"]', 'as left');
  await expect.poll(shownStages).toEqual(['trials', 'as left']);
  expect(browser.complaints).toEqual([]);
});
