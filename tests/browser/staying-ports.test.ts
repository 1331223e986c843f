/** Ports that can't be had, and ports with something else behind them: said in words that tell what to do. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { halfSpeedTester, modem, noise, positionReceiver, printer } from '../rig/other-devices.ts';
import { type PortIdentity, UNO } from '../rig/port-list.ts';
import { Rig } from '../rig/rig.ts';
import type { SerialLine } from '../rig/serial-line.ts';
import { BenchPage } from './bench-page.ts';
import { Ledger } from './ledger.ts';

const port = (number: number, productId: number): PortIdentity => ({
  ...UNO,
  name: `ttyLeaf${number}`,
  productId,
  serialNumber: `RIG000${number}`,
});
/** What is behind other ports, and what the page says of it. */
const OTHERS: readonly {
  readonly what: string;
  readonly identity: PortIdentity;
  readonly speak: (line: SerialLine) => void;
  readonly words: RegExp;
}[] = [
  { what: 'a modem', identity: port(2, 0x0102), speak: modem, words: /modem/i },
  { what: 'a printer', identity: port(3, 0x0103), speak: printer, words: /nothing/i },
  { what: 'a receiver of positions', identity: port(4, 0x0104), speak: positionReceiver, words: /text/i },
  { what: 'noise', identity: port(5, 0x0105), speak: (line) => noise(line, 92), words: /read/i },
  { what: 'half a crystal', identity: port(6, 0x0106), speak: halfSpeedTester, words: /speed/i },
];

let rig: Rig;
let origin: string;
let board: Board;
let browser: Browser;
let bench: BenchPage;
let ledger: Ledger;

beforeAll(async () => {
  rig = new Rig();
  ({ origin } = await rig.servePage());
  board = await rig.startBoard({ seed: 93, bootTime: 100 });
  await board.plug();
  const granted = [UNO, ...OTHERS.map(({ identity }) => identity)];
  browser = await rig.launch(origin, { granted });
  bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  ledger = new Ledger(bench, board);
});
afterAll(() => rig.close());

/** The user's choice among the ports: the browser's own chooser can't be worked without a screen. */
async function choose(page: Page, { productId }: PortIdentity): Promise<void> {
  await page.evaluate((wanted) => {
    navigator.serial.requestPort = async () =>
      (await navigator.serial.getPorts()).find((one) => one.getInfo().usbProductId === wanted)!;
  }, productId);
}

const troubleOn = async (page: Page): Promise<string> => (await page.textContent('main [role=alert]')) ?? '';

async function disconnect(): Promise<void> {
  await bench.open('start');
  await browser.page.click('button:has-text("Disconnect")');
}

async function connectInVain(): Promise<string> {
  await bench.open('start');
  await browser.page.click('[data-action=connect]');
  await bench.waitForBoard('refused');
  return troubleOn(browser.page);
}

describe('a port that can’t be had', () => {
  it('another program has it: says so, and is live after that was closed and the button pressed again', async () => {
    const letGo = await rig.holdPort();
    const words = await connectInVain();
    expect(words).toMatch(/another program/i);
    expect(words).toMatch(/close/i);
    expect(words).toMatch(/try again/i);
    await letGo();
    await bench.connectBoard();
  });

  it('another tab has it: says so there, and that tab goes on measuring', async () => {
    await board.setDial('1/60');
    await bench.setMark('1/60');
    await ledger.fire(board);
    const second = new BenchPage(await browser.context.newPage(), origin);
    await second.open('start');
    await second.page.click('[data-action=connect]');
    await second.waitForBoard('refused');
    const words = await troubleOn(second.page);
    expect(words).toMatch(/tab/i);
    expect(words).toMatch(/close|disconnect/i);
    await bench.waitForBoard('live');
    await ledger.fire(board);

    // Where it was refused it isn't waited for either.
    await board.unplug();
    await bench.waitForBoard('lost');
    await board.plug();
    await bench.waitForBoard('live');
    await ledger.fire(board);

    // The board is given up here, and can be had there.
    await disconnect();
    await second.connectBoard();
    await second.page.close();
    await bench.connectBoard();
    await ledger.fire(board);
    await disconnect();
  });

  it('nothing is behind it any more', async () => {
    await board.unplug();
    rig.ports.add(UNO, `${rig.directory}/ttyGone`);
    const words = await connectInVain();
    expect(words).toMatch(/could not be opened/i);
    rig.ports.remove(UNO);
    await board.plug();
    await bench.waitForBoard('live');
    await bench.open('bench');
    await ledger.fire(board);
  });

  it('it takes nothing: says so, gives the port back, and is live when the line is sound again', async () => {
    await board.holdUp(true);
    await board.reset();
    await bench.waitForBoard('refused');
    await board.holdUp(false);
    await bench.connectBoard();
    await ledger.fire(board);
    await disconnect();
  });
});

describe('a port with something else behind it', () => {
  // All at once, each in a page of its own, as if in a browser of its own: the page listens long before it gives up.
  it.concurrent.for(OTHERS)('$what: is told from a tester, and what to do', async (device, { expect }) => {
    const { what, identity, speak, words } = device;
    const { line } = await rig.plugPort(identity);
    speak(line);
    const own = new BenchPage(await browser.context.newPage(), origin);
    await own.page.addInitScript(`
      const { request } = LockManager.prototype;
      LockManager.prototype.request = function (name, ...rest) {
        return request.call(this, name + ' for ${what}', ...rest);
      };
    `);
    await own.open('start');
    await choose(own.page, identity);
    await own.page.click('[data-action=connect]');
    await own.page.locator('[data-board=refused]').waitFor({ timeout: 60_000 });
    expect(await troubleOn(own.page)).toMatch(words);
    expect(await troubleOn(own.page)).toMatch(/another port|right port/i);
    await expect.poll(() => line.isOpen, { timeout: 20_000 }).toBe(false);
    await own.page.close();
  });

  it('the tester among them can be had', async () => {
    await choose(browser.page, UNO);
    await bench.connectBoard();
    await ledger.fire(board);
  });
});
