/** The page is busy, hidden or frozen, or the computer sleeps, while the board goes on: nothing false, nothing lost. */
import type { CDPSession } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { pause } from './bench-rig.ts';
import { Ledger } from './ledger.ts';

let rig: Rig;
let board: Board;
let browser: Browser;
let bench: BenchPage;
let ledger: Ledger;
let commands: CDPSession;

beforeAll(async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  board = await rig.startBoard({ seed: 95, bootTime: 100 });
  await board.plug();
  browser = await rig.launch(origin, { asOnADesk: true });
  bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  await bench.connectBoard();
  ledger = new Ledger(bench, board);
  commands = await browser.context.newCDPSession(browser.page);
});
afterAll(() => rig.close());

/** Firings kept as good; asked without the page's animation frames, which a hidden page has none of. */
const goodOnes = async () => (await ledger.check()).filter(({ firing }) => firing.spoilt === null).length;
const untilGood = (count: number) => expect.poll(goodOnes, { timeout: 30_000, interval: 200 }).toBe(count);
const phase = () => browser.page.getAttribute('[data-board]', 'data-board');
const untilPhase = (wanted: string) => expect.poll(phase, { timeout: 30_000 }).toBe(wanted);

/** The page's calendar has jumped by so many seconds. */
const untilNoticed = (seconds: number) =>
  expect
    .poll(async () => (await browser.page.evaluate(() => Date.now())) - Date.now(), { timeout: 30_000 })
    .toBeGreaterThan(1000 * (seconds - 60));

it('measures a firing during which the page could do nothing for five seconds', async () => {
  await board.setDial('1');
  await bench.setMark('1');
  await bench.waitForArmed();
  const firing = board.holdOpen(3);
  await browser.page.waitForSelector('[data-eye=open]');
  await browser.page.evaluate(() => {
    for (const end = performance.now() + 5000; performance.now() < end; );
  });
  await firing;
  await untilGood(1);
  expect(board.line.dropped).toBe(0);
});

it('is live by itself after a sleep of the computer in which the line overflowed', async () => {
  await board.setDial('1');
  await bench.waitForArmed();
  browser.sleep();
  do await board.fire();
  while (board.line.dropped === 0); // the line is full
  rig.leadCalendar(3600);
  browser.wake();
  await untilNoticed(3600);
  await bench.waitForBoard('live');
  await ledger.fire(board);
});

describe('a hidden page', () => {
  let good = 0;

  async function fire(): Promise<void> {
    await pause(400); // armed by then
    await board.fire();
    await untilGood(++good);
  }

  it('records what is fired', async () => {
    good = await goodOnes();
    await board.setDial('1/60');
    await bench.setMark('1/60');
    const front = await browser.context.newPage();
    await front.bringToFront();
    await expect.poll(() => browser.page.evaluate(() => document.visibilityState)).toBe('hidden');
    for (let i = 0; i < 3; i++) await fire();
  });

  it('takes up a board that is plugged in again', async () => {
    await board.unplug();
    await untilPhase('lost');
    await board.plug();
    await untilPhase('live');
    await fire();
  });

  it('takes up a board that was reset', async () => {
    await board.reset();
    const notices = () => browser.page.textContent('.notices');
    await expect.poll(notices, { timeout: 30_000 }).toMatch(/was reset/i);
    await untilPhase('live');
    await fire();
  });

  it('measures what was fired while it was frozen', async () => {
    await pause(400);
    await commands.send('Page.setWebLifecycleState', { state: 'frozen' });
    await board.fire();
    await pause(3000);
    await commands.send('Page.setWebLifecycleState', { state: 'active' });
    await untilGood(++good);
  });

  it('shows it all when it is looked at again', async () => {
    await browser.page.bringToFront();
    await bench.waitForBoard('live');
    await ledger.fire(board);
    expect((await bench.table()).get('1/60')?.n).not.toBe('0');
  });
});
