/** Every screen for everyone: rules of axe-core by day and by night, the keyboard alone, twice the size. */
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import type { Screen } from '../../app/screens/view.ts';
import { Rig } from '../rig/rig.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';
import { setUpPractice } from './bench-rig.ts';

const SCREENS: readonly Screen[] = [
  'start',
  'jobs',
  'job',
  'checks',
  'bench',
  'results',
  'camera',
  'certificate',
  'settings',
];

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('breaks no rule of accessibility on any screen, empty or in use, light or dark', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  const found: Record<string, string[]> = {};
  const lookAt = async (what: string) => {
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(300);
      const wrong = await brokenRules(page);
      if (wrong.length > 0) found[`${what}, ${colorScheme}`] = wrong;
    }
  };
  for (const screen of SCREENS) {
    await bench.open(screen);
    await lookAt(`${screen} without a job`);
  }
  await bench.open('start');
  await page.click('[data-action=practice]');
  await bench.waitForBoard('live');
  await bench.open('bench');
  await bench.setPracticeDial('1/60');
  await bench.firePractice(2);
  for (const screen of SCREENS) {
    await bench.open(screen);
    await lookAt(screen);
  }
  await bench.open('bench');
  for (const view of ['side by side', 'across the room']) {
    await page.keyboard.press('v');
    await lookAt(view);
  }
  await page.keyboard.press('Escape');
  for (const [key, panel] of [
    ['w', 'work note'],
    ['b', 'budget'],
    ['?', 'help'],
  ] as const) {
    await page.keyboard.press(key);
    await lookAt(panel);
    await page.keyboard.press('Escape');
  }
  expect(found).toEqual({});
});

it('needs no more width than there is at twice the size', async () => {
  const { bench, browser, ...rest } = await setUpPractice();
  rig = rest.rig;
  const { page } = browser;
  await bench.setPracticeDial('1/60');
  await bench.firePractice();
  // A window of 1280×720 at 200 % has room for 640×360.
  await page.setViewportSize({ width: 640, height: 360 });
  const tooWide: string[] = [];
  for (const screen of SCREENS) {
    await bench.open(screen);
    await page.waitForTimeout(200);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (over > 1) tooWide.push(`${screen}: ${over} px`);
  }
  expect(tooWide).toEqual([]);
});

it('is worked by the keyboard alone, from the start page to the certificate', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const { page } = await rig.launch(origin);
  const bench = new BenchPage(page, origin);
  await bench.open('start');
  await tabTo(page, '[data-action=practice]');
  await page.keyboard.press('Enter');
  await bench.waitForBoard('live');
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  await page.keyboard.press('5');
  await page.waitForSelector('[data-table=speeds]');
  await bench.setMark('1/60');
  await bench.firePractice(3);
  expect((await bench.table()).get('1/60')?.n).toBe('3');
  await page.keyboard.press('8');
  await page.waitForSelector('[data-action=save-pdf]');
  await tabTo(page, '[data-action=save-pdf]');
  const saved = page.waitForEvent('download', { timeout: 60_000 });
  await page.keyboard.press('Enter');
  expect((await saved).suggestedFilename()).toMatch(/\.pdf$/);
});

/** Goes on by the tabulator until the element has the focus, as far as a page can be long. */
async function tabTo(page: Page, selector: string): Promise<void> {
  for (let i = 0; i < 150; i++) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted) ?? false, selector)) return;
  }
  throw new Error(`The keyboard does not lead to ${selector}.`);
}
