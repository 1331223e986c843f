/** A newer page takes the place of an older one when the user says so, and never in the middle of something. */
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterEach, describe, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';
import {
  copyOfPage,
  isMarked,
  markPage,
  openPractice,
  publishNext,
  waitUntilKept,
  waitUntilNextWaits,
} from './kept-page.ts';
import { until } from './until.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

async function setUp() {
  rig = new Rig();
  const folder = copyOfPage(path.join(rig.directory, 'page'));
  const { origin } = await rig.servePage(folder);
  const browser = await rig.launch(origin);
  const { page } = browser;
  await page.goto(`${origin}/`);
  await waitUntilKept(page);
  return { folder, origin, browser, page, bench: new BenchPage(page, origin) };
}

async function disconnect(page: Page): Promise<void> {
  await page.click('[data-screen=start]');
  await page.click('button:has-text("Disconnect")');
}

const waitForTitle = (page: Page, title: string) =>
  page.waitForFunction((wanted) => document.title === wanted, title);
const waitForNotice = (page: Page, words: RegExp) =>
  page.locator('.notice', { hasText: words }).first().waitFor();
const update = (page: Page) => page.getAttribute('[data-update]', 'data-update', { timeout: 30_000 });
const loadNew = '[data-action=load-new-version]';

describe('a newer page', () => {
  it('waits while a port is open, is offered afterwards, and is loaded by a click alone', async () => {
    const { folder, browser, page, bench } = await setUp();
    await openPractice(page);
    await markPage(page);
    publishNext(folder, 'second');
    await waitUntilNextWaits(page);
    await bench.setPracticeDial('1/30');
    await bench.firePractice();
    expect(await page.$('[data-update]')).toBeNull();

    await disconnect(page);
    expect(await update(page)).toBe('waiting');
    expect([await isMarked(page), await page.title()]).toEqual([true, 'Leafclock']);
    // Loading the page again is no leave to change it.
    await page.reload();
    expect(await update(page)).toBe('waiting');
    expect(await page.title()).toBe('Leafclock');
    // Taken up again, a port hides the offer.
    await openPractice(page);
    expect(await page.$('[data-update]')).toBeNull();
    await disconnect(page);

    await page.click(loadNew);
    await waitForTitle(page, 'second');
    await page.waitForSelector('[data-action=practice]');
    expect(await page.$('[data-update]')).toBeNull();
    expect((await bench.kept()).length).toBe(1);
    expect(browser.complaints).toEqual([]);
  });

  it('does not come over another tab: neither is reloaded, and the firing there is kept', async () => {
    const { folder, origin, browser, page, bench } = await setUp();
    await openPractice(page);
    await bench.setPracticeDial('1/30');
    const other = await browser.context.newPage();
    await other.goto(`${origin}/`);
    publishNext(folder, 'second');
    await waitUntilNextWaits(other);
    expect(await update(other)).toBe('waiting');
    await Promise.all([markPage(page), markPage(other)]);
    await other.click(loadNew);
    await waitForNotice(other, /open in another tab as well/);
    await bench.firePractice();
    expect([await isMarked(page), await isMarked(other)]).toEqual([true, true]);
    expect((await bench.kept()).length).toBe(1);
    await page.close();
    // The browser takes its time to forget a closed tab.
    await until(other, async () => {
      const { held = [] } = await navigator.locks.query();
      return held.filter(({ name }) => name === 'leafclock page').length === 1;
    });
    await other.click(loadNew);
    await waitForTitle(other, 'second');
  });

  it('that took over from elsewhere is told once no port is open; until then nothing changes', async () => {
    const { folder, origin, browser, page, bench } = await setUp();
    await openPractice(page);
    await bench.setPracticeDial('1/30');
    await markPage(page);
    publishNext(folder, 'second');
    await waitUntilNextWaits(page);
    // A browser's own tools can do this at any time.
    const tools = await browser.context.newPage();
    await tools.goto(`${origin}/icon.svg`);
    await page.evaluate(async () => {
      const changed = new Promise((resolve) =>
        navigator.serviceWorker.addEventListener('controllerchange', resolve, { once: true }),
      );
      (await navigator.serviceWorker.getRegistration())!.waiting!.postMessage({ type: 'SKIP_WAITING' });
      await changed;
    });
    await bench.firePractice();
    expect(await page.$('[data-update]')).toBeNull();
    expect(await isMarked(page)).toBe(true);
    await disconnect(page);
    expect(await update(page)).toBe('elsewhere');
    expect(await isMarked(page)).toBe(true);
    await page.click(loadNew);
    await waitForTitle(page, 'second');
    expect((await bench.kept()).length).toBe(1);
  });
});

/** Lays the database out as a later Leafclock would. Resolves when it is done, or with 'blocked'. */
const openAsNewer = (page: Page) =>
  page.evaluate(
    () =>
      new Promise<string>((resolve, reject) => {
        const request = indexedDB.open('leafclock', 99);
        request.onblocked = () => resolve('blocked');
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          request.result.close();
          resolve('done');
        };
      }),
  );

describe('a database of a newer Leafclock', () => {
  it('is told in one sentence with what to do, and the newer page is loaded when there is one', async () => {
    const { folder, origin, browser, page } = await setUp();
    await page.goto(`${origin}/icon.svg`);
    expect(await openAsNewer(page)).toBe('done');
    browser.complaints.splice(0); // a picture alone has no icon
    await page.goto(`${origin}/#start`);
    await page.waitForSelector('[data-update="newer database"]');
    expect(await page.textContent('[data-update]')).toMatch(
      /A newer Leafclock has opened the jobs on this computer.*Nothing is lost/,
    );
    expect(await page.textContent('[data-board]')).toMatch(/nothing can be recorded/);
    expect(await page.$$('.notice')).toEqual([]);
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await brokenRules(page), colorScheme).toEqual([]);
    }
    // This address serves the same old page: that is said, and nothing is loaded again and again.
    await markPage(page);
    await page.click(loadNew);
    await waitForNotice(page, /This address has no newer Leafclock/);
    expect(await isMarked(page)).toBe(true);
    publishNext(folder, 'second');
    await page.click(loadNew);
    await waitForTitle(page, 'second');
    // Nothing was deleted or laid out anew.
    const versions = await page.evaluate(async () =>
      (await indexedDB.databases()).map(({ version }) => version),
    );
    expect(versions).toEqual([99]);
    expect(browser.complaints).toEqual([]);
  });

  it('waits for a page that is in use: it says so, and goes on recording', async () => {
    const { origin, browser, page, bench } = await setUp();
    await openPractice(page);
    await bench.setPracticeDial('1/30');
    const other = await browser.context.newPage();
    await other.goto(`${origin}/icon.svg`);
    expect(await openAsNewer(other)).toBe('blocked');
    await waitForNotice(page, /newer Leafclock waits in another tab/);
    await bench.firePractice();
    expect(await page.getAttribute('[data-reading]', 'data-kept')).toBe('recorded');
  });
});
