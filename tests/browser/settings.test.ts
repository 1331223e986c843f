/** What the workshop sets stays, and shapes new jobs, their papers and the bench. */
import { execFileSync } from 'node:child_process';
import { crc32, deflateSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';
import { setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

async function openPage() {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const bench = new BenchPage(browser.page, origin);
  await bench.open('settings');
  return { browser, page: browser.page, bench };
}

async function write(page: Page, field: string, text: string): Promise<void> {
  await page.fill(`[data-field="${field}"]`, text);
  await page.press(`[data-field="${field}"]`, 'Tab');
}

const openPart = (page: Page, part: string) => page.click(`[data-part=${part}]`);
const value = (page: Page, field: string) => page.inputValue(`[data-field="${field}"]`);

/** A grey picture (PNG, ISO/IEC 15948). */
function png(width: number, height: number): Buffer {
  const chunk = (type: string, data: Buffer) => {
    const body = Buffer.concat([Buffer.from(type), data]);
    const length = Buffer.alloc(4);
    length.writeUInt32BE(data.length);
    const check = Buffer.alloc(4);
    check.writeUInt32BE(crc32(body));
    return Buffer.concat([length, body, check]);
  };
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 0, 0, 0, 0], 8);
  const row = Buffer.concat([Buffer.of(0), Buffer.alloc(width, 0x60)]);
  return Buffer.concat([
    Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'),
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(Buffer.concat(Array(height).fill(row)))),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

it('keeps workshop, logo, defaults and lists, and a new job and its paper are made by them', async () => {
  const { browser, page, bench } = await openPage();
  await write(page, 'workshop', 'Workshop of a Test (invented)');
  await write(page, 'signatory', 'A. Tester');
  await write(page, 'address', 'Test Lane 1\nNowhere-on-Sea');
  await page.selectOption('[data-field=paper-title]', 'test report');
  await page.selectOption('[data-field=paper-size]', 'Letter');
  await page.selectOption('[data-field=paper-dates]', 'year-month-day');
  const logo = (name: string, buffer: Buffer, mimeType = 'image/png') =>
    page.setInputFiles('[data-action=logo]', { name, mimeType, buffer });
  await logo('logo.png', png(2400, 800));
  await page.waitForSelector('[data-logo="1200 × 400"] img');
  await page.click('[data-action=remove-logo]');
  await page.waitForSelector('[data-logo=none]');
  await page.click('[data-action=undo]');
  await page.waitForSelector('[data-logo="1200 × 400"] img');
  await logo('broken.png', png(40, 40).subarray(0, 30));
  await page.waitForSelector('.trouble:has-text("can’t be read as a picture")');
  await logo('drawing.svg', Buffer.from('<svg/>'), 'image/svg+xml');
  await page.waitForSelector('.trouble:has-text("neither PNG nor JPEG")');
  expect(await page.getAttribute('[data-logo]', 'data-logo')).toBe('1200 × 400');

  await openPart(page, 'lists');
  await page.click('[data-action=new-series]');
  await write(page, 'series-name', 'Ring of a test');
  await write(page, 'series-text', '125 1/25 1/100');
  await page.click('[data-action=keep-series]');
  await write(page, 'series-text', '1/100 B 1/25 1/50 1/25');
  await page.click('[data-action=keep-series]');
  await page.waitForSelector('[data-draft=series] .trouble:has-text("stands in the list twice")');
  await write(page, 'series-text', '1/100 B 1/25 1/50');
  await page.click('[data-action=keep-series]');
  await page.waitForSelector('[data-list=series] [data-entry="Ring of a test"]');
  await page.click('[data-action=new-programme]');
  await write(page, 'programme-name', 'Order of a test');
  await write(page, 'programme-text', '1/100 2\n1/25 1');
  await page.click('[data-action=keep-programme]');
  await page.click('[data-action="new-check list"]');
  await write(page, 'check list-name', 'List of a test');
  await write(page, 'check list-text', 'Bellows of a test\nStrut of a test');
  await page.click('[data-action="keep-check list"]');
  await page.waitForSelector('[data-entry="List of a test"]');
  // Removed and brought back.
  await page.click('[aria-label="Remove List of a test"]');
  await page.waitForSelector('[data-entry="List of a test"]', { state: 'detached' });
  await page.click('[data-action=undo]');
  await page.waitForSelector('[data-entry="List of a test"]');

  await openPart(page, 'new-jobs');
  const choose = (field: string, label: string) => page.selectOption(`[data-field=${field}]`, { label });
  await choose('default-series', 'Ring of a test');
  await choose('default-programme', 'Order of a test');
  await choose('default-check-list', 'List of a test');
  await page.selectOption('[data-field=default-band]', 'reversal');
  await page.selectOption('[data-field=default-decision-rule]', 'guard band');
  await write(page, 'default-spread-limit', '0.1');
  await write(page, 'default-least-as-left', '7');
  await write(page, 'default-flash-duration', '2.5');
  await write(page, 'default-least-trials', '0');
  await page.waitForSelector('.trouble:has-text("whole number from 1 to 50")');

  await page.reload();
  expect(await page.getAttribute('[data-settings]', 'data-settings')).toBe('workshop');
  expect(await value(page, 'workshop')).toBe('Workshop of a Test (invented)');
  expect(await value(page, 'address')).toBe('Test Lane 1\nNowhere-on-Sea');
  expect(await value(page, 'paper-title')).toBe('test report');
  await page.waitForSelector('[data-logo="1200 × 400"] img');
  await openPart(page, 'new-jobs');
  expect(await value(page, 'default-spread-limit')).toBe('0.1');
  expect(await value(page, 'default-flash-duration')).toBe('2.5');
  expect(await value(page, 'default-least-trials')).toBe('3');
  expect(await page.locator('[data-field=default-programme] option:checked').textContent()).toBe(
    'Order of a test',
  );

  // A job made now begins with all of it; one that was there would have stayed as it was.
  await bench.newJob({ description: 'Camera of a test' });
  await bench.open('job');
  expect(await value(page, 'series')).toBe('B 1/25 1/50 1/100');
  expect(await value(page, 'band')).toBe('reversal');
  expect(await value(page, 'decision-rule')).toBe('guard band');
  expect(await value(page, 'spread-limit')).toBe('0.1');
  expect(await value(page, 'flash-duration')).toBe('2.5');
  expect(await page.locator('select[data-field=programme] option:checked').textContent()).toBe(
    'Order of a test',
  );
  await bench.open('camera');
  await page.click('main button:has-text("Mechanics"), main a:has-text("Mechanics")');
  await expect.poll(() => page.textContent('main')).toContain('Strut of a test');
  await bench.open('bench');
  expect([...(await bench.table()).keys()]).toEqual(['B', '1/25', '1/50', '1/100']);
  await page.waitForSelector('[data-programme="0"]:has-text("1/100")');

  const file = await (await bench.savePdf()).path();
  const pdf = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  expect(pdf).toContain('Workshop of a Test (invented)');
  expect(pdf).toContain('Nowhere-on-Sea');
  expect(pdf).toMatch(/test report/i);
  expect(pdf).toMatch(/\b20\d\d-\d\d-\d\d\b/);
  expect(execFileSync('pdfinfo', [file], { encoding: 'utf8' })).toMatch(
    /Page size: +612 x 792 pts \(letter\)/,
  );
  expect(execFileSync('pdfimages', ['-list', file], { encoding: 'utf8' })).toMatch(/ 1200 +400 /);
  expect(browser.complaints).toEqual([]);
});

it('binds keys by pressing them, says what gives way, and the bench follows', async () => {
  const { browser, page, bench } = await openPage();
  await openPart(page, 'sound');
  const bind = async (action: string, key: string) => {
    await page.click(`[data-bind="${action}"] [aria-label="Bind a key: ${action}"]`);
    await page.waitForSelector(`[data-bind="${action}"] :has-text("press a key")`);
    await page.keyboard.press(key);
  };
  const code = (action: string) => page.getAttribute(`[data-bind="${action}"] [data-key]`, 'data-key');
  const word = () => page.textContent('[data-word=keys]');
  await bind('next mark', 'F9');
  await expect.poll(() => code('next mark')).toBe('F9');
  expect(await word()).toBe('');
  // The same key for something else: the first one lets go of it.
  await bind('undo', 'F9');
  await expect.poll(word).toContain('was bound to “next mark”');
  expect([await code('next mark'), await code('undo')]).toEqual(['', 'F9']);
  // A key that has a meaning of its own on the bench; and one that the page can't do without.
  await bind('next mark', 'b');
  await expect.poll(word).toContain('otherwise means: the uncertainty budget');
  await bind('previous mark', 'Tab');
  await expect.poll(word).toContain('can’t be bound');
  await page.keyboard.press('Escape');
  expect(await code('previous mark')).toBe('');
  // Nothing else happened: a digit that is bound leads to no other screen.
  await bind('previous mark', '5');
  await expect.poll(() => code('previous mark')).toBe('Digit5');
  expect(await page.getAttribute('[data-settings]', 'data-settings')).toBe('sound');

  await page.click('[data-try=within]');
  await page.click('[data-try=voice]');
  await page.waitForSelector('.trouble:has-text("no voice"), [data-field=voice-name] option:nth-child(2)', {
    state: 'attached',
  });
  await page.uncheck('[data-field=tones]');
  await write(page, 'never-closes', '1');
  await page.waitForSelector('.trouble:has-text("Between 2 s")');
  await write(page, 'never-closes', '45');

  await page.reload();
  await openPart(page, 'sound');
  expect(await page.isChecked('[data-field=tones]')).toBe(false);
  expect(await value(page, 'never-closes')).toBe('45');
  await bench.newJob({ description: 'Camera of a test' });
  await bench.open('bench');
  const mark = () => page.getAttribute('[data-table=speeds] tr[aria-current]', 'data-mark');
  const first = await mark();
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await page.keyboard.press('b');
  await expect.poll(mark).not.toBe(first);
  expect(await page.locator('[data-table=budget]').count()).toBe(0);
  await page.keyboard.press('5');
  await expect.poll(mark).toBe(first);

  await bench.open('settings');
  await page.click('[data-bind="next mark"] [aria-label="Clear the key: next mark"]');
  await expect.poll(() => code('next mark')).toBe('');
  await page.click('[data-action=undo]');
  await expect.poll(() => code('next mark')).toBe('KeyB');
  expect(browser.complaints).toEqual([]);
});

it('breaks no rule of accessibility in any part, by day and by night', async () => {
  const { page } = await openPage();
  for (const part of ['workshop', 'new-jobs', 'lists', 'sound', 'boards', 'data']) {
    await openPart(page, part);
    if (part === 'lists') await page.click('[data-action=new-programme]');
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await brokenRules(page), `${part}, ${colorScheme}`).toEqual([]);
    }
  }
});

it('knows the boards that were here, and gives one a serial number that its firings carry', async () => {
  const set = await setUpBench(415);
  rig = set.rig;
  const { browser, bench, board } = set;
  const { page } = browser;
  await bench.open('settings');
  await openPart(page, 'boards');
  await page.waitForSelector('[data-table=boards] tbody tr:has-text("connected")');
  await write(page, 'board-serial', 'zu lang, und mit ü');
  expect(await value(page, 'board-serial')).toHaveLength(8);
  await write(page, 'board-serial', 'Ü-1');
  await page.click('[data-action=set-serial]');
  await page.waitForSelector('.trouble:has-text("without accents")');
  await write(page, 'board-serial', 'T-415');
  await page.click('[data-action=set-serial]');
  await page.waitForSelector('[data-board-serial="T-415"]:has-text("connected")', { timeout: 20_000 });

  await bench.waitForBoard('live');
  await bench.open('bench');
  await board.setDial('1/60');
  await bench.setMark('1/60');
  const { id } = await bench.fire(board);
  const firing = (await bench.kept()).find((one) => one.id === id) as unknown as {
    board: { serial: string };
  };
  expect(firing.board.serial).toBe('T-415');

  await page.reload();
  await bench.open('settings');
  await openPart(page, 'boards');
  await page.waitForSelector('[data-board-serial="T-415"]');
  expect(await page.locator('[data-table=boards] tbody tr:has-text("connected")').count()).toBe(0);
  expect(browser.complaints).toEqual([]);
});
