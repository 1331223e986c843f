/** A whole job without a board: the practice bench in the built page, by keys, from start to certificate. */
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('goes from start to certificate, all marked as invented', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  await bench.open('start');
  await page.click('[data-action=practice]');
  await bench.waitForBoard('live');
  expect(await page.textContent('.top')).toContain('invented');

  const fire = async () => {
    const before = await bench.shownId();
    await bench.waitForArmed();
    await page.keyboard.press('Space');
    return bench.waitForRecorded(before);
  };
  for (const mark of ['1/8', '1/60', '1/250']) {
    await page.selectOption('[data-control=dial]', mark);
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await bench.setMark(mark);
    for (let i = 0; i < 3; i++) await fire();
  }
  let table = await bench.table();
  for (const mark of ['1/8', '1/60', '1/250'])
    expect(table.get(mark)).toMatchObject({ n: '3', verdict: 'within' });

  // The dial is turned, the page is not told: it asks, files nothing elsewhere, and one key moves the firing.
  await page.selectOption('[data-control=dial]', '1/60');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await fire();
  await page.waitForSelector('[data-question="1/60"]');
  expect((await bench.table()).get('1/250')?.n).toBe('4');
  await page.keyboard.press('m');
  await expect.poll(async () => (await bench.table()).get('1/60')?.n).toBe('4');
  expect((await bench.table()).get('1/250')?.n).toBe('3');
  await page.keyboard.press('u');
  await expect.poll(async () => (await bench.table()).get('1/250')?.n).toBe('4');

  // Set aside with a reason, and what stands in place of a reading.
  await page.keyboard.press('a');
  await page.waitForSelector('[data-panel="set aside"]');
  await page.keyboard.type('dial not turned');
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await bench.table()).get('1/250')?.n).toBe('3');
  await bench.setMark('1');
  await page.keyboard.press('d');
  await expect.poll(async () => (await bench.table()).get('1')?.verdict).toBe('did not fire');

  // As left, with the governor turned in: slower than as found.
  await bench.setStage('as left');
  await bench.setMark('1/8');
  await page.selectOption('[data-control=dial]', '1/8');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  for (let i = 0; i < 4; i++) await page.keyboard.press('.');
  await fire();
  const found = Number(table.get('1/8')!.error!.replace('−', '-'));
  table = await bench.table();
  expect(Number(table.get('1/8')!.error!.replace('−', '-'))).toBeGreaterThan(found + 0.03);
  expect(table.get('1/8')!.verdict).toBe('1 of 5 firings');

  const download = await bench.savePdf();
  const file = path.join(rig.directory, 'practice.pdf');
  await download.saveAs(file);
  const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  expect(text).toContain('Practice bench: these readings are of a simulated shutter.');
  expect(text).toContain('invented');
  expect(text).toContain('did not fire');
  expect(text).toContain('dial not turned');
  expect(browser.complaints).toEqual([]);
  expect(browser.foreignRequests).toEqual([]);
});
