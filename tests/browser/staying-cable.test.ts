/** The cable is pulled and plugged, again and again, and into other ports: nothing false, nothing lost. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { UNO } from '../rig/port-list.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { pause } from './bench-rig.ts';
import { Ledger } from './ledger.ts';

/** The same model: to the page it is the board it knows. */
const EQUAL = { ...UNO, name: 'ttyLeaf1', serialNumber: 'RIG0002' };

let rig: Rig;
let board: Board;
let other: Board;
let browser: Browser;
let bench: BenchPage;
let ledger: Ledger;

beforeAll(async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  board = await rig.startBoard({ seed: 90, bootTime: 100 });
  other = await rig.startBoard({ seed: 91, bootTime: 100, identity: EQUAL });
  await board.plug();
  browser = await rig.launch(origin, { granted: [UNO, EQUAL] });
  bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  await bench.connectBoard();
  ledger = new Ledger(bench, board, other);
});
afterAll(() => rig.close());

it('is live again after ten pulls, with a reading after each', async () => {
  await board.setDial('1/60');
  await bench.setMark('1/60');
  for (let pull = 0; pull < 10; pull++) {
    await board.unplug();
    await bench.waitForBoard('lost');
    await board.plug();
    await bench.waitForBoard('live');
    await ledger.fire(board);
  }
  const kept = await ledger.check();
  expect(kept).toHaveLength(10);
  // On a machine too busy to run the board in time a firing may fall into a silence of the board.
  const good = kept.filter(({ firing }) => firing.spoilt !== 'silence');
  expect(good.every(({ firing }) => firing.spoilt === null)).toBe(true);
  expect(good.length).toBeGreaterThan(5);
  expect((await bench.table()).get('1/60')?.n).toBe(String(good.length));
});

it('takes nothing for a firing when the blades stand open while the board comes back', async () => {
  await board.setDial('1');
  await bench.setMark('1');
  await bench.waitForArmed();
  const held = board.holdOpen(4);
  await browser.page.waitForSelector('[data-eye=open]');
  await board.unplug();
  await bench.waitForBoard('lost');
  await board.plug();
  await bench.waitForBoard('live');
  expect(await browser.page.$('[data-eye=armed]')).toBeNull();
  await held;
  const spoilt = (await ledger.check()).filter(({ firing }) => firing.spoilt === 'disconnected');
  expect(spoilt).toHaveLength(1);
  await ledger.fire(board);
  expect((await bench.table()).get('1')?.n).toBe('1');
});

it('takes up an equal board in another port', async () => {
  await board.unplug();
  await bench.waitForBoard('lost');
  await other.setDial('1/60');
  await bench.setMark('1/60');
  await other.plug();
  await bench.waitForBoard('live');
  await ledger.fire(other);
  await other.unplug();
  await bench.waitForBoard('lost');
});

it('comes back after a line that went dead while the port stayed listed', async () => {
  await board.setDial('1/60');
  await board.plug();
  await bench.waitForBoard('live');
  await bench.waitForArmed();
  await board.hangUp();
  await bench.waitForBoard('lost');
  expect(await bench.boardWords()).not.toBe('');
  expect(await browser.page.textContent('.notices')).toMatch(/plug it in again/i);
  await board.unplug();
  await pause(300);
  await board.plug();
  await bench.waitForBoard('live');
  await ledger.fire(board);
});
