/** Help where it is wanted, and the way of someone who has never seen the page. */
import { execFileSync } from 'node:child_process';
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import type { Screen } from '../../app/screens/view.ts';
import { Rig } from '../rig/rig.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';

const SCREENS: readonly (readonly [Screen, string])[] = [
  ['start', 'Start'],
  ['jobs', 'Jobs'],
  ['job', 'Job'],
  ['checks', 'Instrument'],
  ['bench', 'Bench'],
  ['results', 'Results'],
  ['camera', 'Camera'],
  ['certificate', 'Papers'],
  ['settings', 'Settings'],
];

let rig: Rig | null = null;
afterEach(() => rig?.close());

const focused = (page: Page, attribute: string) =>
  page.evaluate((name) => document.activeElement?.getAttribute(name) ?? null, attribute);

it('opens on every screen by key and button, closes, and gives the focus back', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  await bench.newJob({ customer: 'Customer of a Test' });
  for (const [screen, title] of SCREENS) {
    await bench.open(screen);
    await expect.poll(() => page.textContent('main')).not.toContain('Loading');
    await page.focus('[data-action=help]');
    await page.keyboard.press('?');
    await page.waitForSelector(`[data-help=${screen}] [data-about=${screen}]`);
    expect(await page.textContent('[data-about] h3')).toBe(title);
    expect(await page.locator('[data-meaning]').count()).toBeGreaterThan(30);
    await page.keyboard.press('Escape');
    await page.waitForSelector('[data-help]', { state: 'detached' });
    await expect.poll(() => focused(page, 'data-action'), { message: screen }).toBe('help');
  }
  await page.click('[data-action=help]');
  await page.waitForSelector('[data-about=settings]');
  expect(await brokenRules(page)).toEqual([]);
  // It follows the screen, and nothing of the page is out of reach while it is open.
  await bench.open('jobs');
  await page.waitForSelector('[data-about=jobs]');
  await page.click('[data-action=close-help]');
  // A question mark that is written is a question mark.
  await bench.open('job');
  await page.fill('[data-field=complaint]', '');
  await page.type('[data-field=complaint]', 'sticks?');
  expect(await page.inputValue('[data-field=complaint]')).toBe('sticks?');
  expect(await page.locator('[data-help]').count()).toBe(0);
  expect(browser.complaints).toEqual([]);
});

it('leads from the page to a certificate in under ten actions besides the firings', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  let actions = 0;
  const act = async (does: () => Promise<unknown>) => {
    actions++;
    await does();
  };
  const next = (step: string) => page.waitForSelector(`[data-next-step="${step}"]`, { timeout: 30_000 });

  await page.goto(origin);
  await page.waitForSelector('[data-first-steps="0"] [data-step=open][aria-current=step]');
  await act(() => page.click('[data-action=practice]'));
  await bench.waitForBoard('live');
  await next('fire');
  // The page says so: press the space bar. No question comes up: dial and page stand at the same mark.
  expect(await page.textContent('[data-next-step]')).toContain('space bar');
  await bench.firePractice(3);
  expect(await page.locator('[data-question]').count()).toBe(0);
  await next('next speed');
  await act(() => page.keyboard.press(']'));
  await act(() => page.keyboard.press('ArrowDown'));
  await bench.firePractice(3);
  expect(await page.locator('[data-question]').count()).toBe(0);
  await next('certificate');
  await act(() => page.click('[data-screen=certificate]'));
  const download = page.waitForEvent('download', { timeout: 60_000 });
  await act(() => page.click('[data-action=save-pdf]'));
  const pdf = execFileSync('pdftotext', ['-layout', await (await download).path(), '-'], {
    encoding: 'utf8',
  });
  expect(pdf).toMatch(/1\/60 .*\n(.*\n)*.*1\/125 /);
  expect(actions).toBeLessThan(10);

  // Done is done, also after a reload; hidden stays hidden.
  await bench.open('start');
  await page.waitForSelector('[data-first-steps="4"]');
  expect(await page.locator('[data-ticked=true]').count()).toBe(4);
  await page.reload();
  await page.waitForSelector('[data-first-steps="4"]');
  await page.click('[data-action=hide-first-steps]');
  await page.reload();
  await page.waitForSelector('[data-action=practice]');
  expect(await page.locator('[data-first-steps]').count()).toBe(0);

  // What a figure means is one click away from where it stands.
  await bench.open('results');
  await page.click('[data-table=results] [data-term=next-shot] >> nth=0');
  await page.waitForSelector('[data-meaning=next-shot][open]');
  expect(await page.textContent('[data-meaning=next-shot]')).toContain('chance that the next firing');
  expect(browser.complaints).toEqual([]);
});
