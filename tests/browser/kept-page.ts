/** The page as the service worker keeps it, and newer pages that come to take its place. */
import fs from 'node:fs';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { until } from './until.ts';

const BUILT_PAGE = path.join(import.meta.dirname, '../../build/page');

/** A copy of the built page that can be renewed while it is served. */
export function copyOfPage(folder: string): string {
  fs.cpSync(BUILT_PAGE, folder, { recursive: true });
  return folder;
}

/** The next release in the same folder: its page has another title, and its service worker knows. */
export function publishNext(folder: string, title: string): void {
  const index = path.join(folder, 'index.html');
  fs.writeFileSync(
    index,
    fs.readFileSync(index, 'utf8').replace(/<title>.*<\/title>/, `<title>${title}</title>`),
  );
  const worker = path.join(folder, 'sw.js');
  const before = fs.readFileSync(worker, 'utf8');
  const after = before.replace(/(url:"index\.html",revision:")[^"]*/, `$1${title}`);
  if (after === before) throw new Error('The service worker does not name index.html');
  fs.writeFileSync(worker, after);
}

/** Resolves once all of the page is on this computer and the service worker answers for it. */
export async function waitUntilKept(page: Page): Promise<void> {
  await until(
    page,
    async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated',
  );
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
}

/** The browser looks for a newer page now; resolves once one waits. */
export async function waitUntilNextWaits(page: Page): Promise<void> {
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())!.update());
  await until(page, async () => (await navigator.serviceWorker.getRegistration())!.waiting !== null);
}

/** Marks the page as it stands: a page that was reloaded has lost the mark. */
export const markPage = (page: Page) =>
  page.evaluate(() => {
    document.documentElement.dataset.sameAsBefore = 'yes';
  });
export const isMarked = (page: Page) =>
  page.evaluate(() => document.documentElement.dataset.sameAsBefore === 'yes');

/** Opens the practice bench from the start screen. Pages here begin cold, and their emulator with them. */
export async function openPractice(page: Page): Promise<void> {
  await page.click('[data-action=practice]');
  await page.waitForSelector('[data-board=live]', { timeout: 120_000 });
  await page.waitForSelector('[data-table=speeds]');
}
