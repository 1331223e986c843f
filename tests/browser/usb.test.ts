/**
 * Browsers without Web Serial. Chromium has it, so it is taken away, and a simulated USB bus put in the place of
 * navigator.usb; behind it runs the emulated board in this process. All else is the browser's own.
 */
import type { Page } from 'playwright-core';
import { afterEach, describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { Rig } from '../rig/rig.ts';
import { SimulatedUsb, VENDOR_SPECIFIC } from '../rig/simulated-usb.ts';
import { UsbBoard } from '../rig/usb-board.ts';
import { putUsbInPage } from '../rig/usb-in-page.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';

let rig: Rig | null = null;
let board: UsbBoard | null = null;
afterEach(async () => {
  board?.stop();
  await rig?.close();
});

async function setUp() {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const { page } = await rig.launch(origin, { granted: [] });
  const usb = new SimulatedUsb();
  board = new UsbBoard(81);
  // The first second of an emulated board takes longer than a second: the engine has yet to compile it.
  board.core.run(CLOCK_HZ);
  await putUsbInPage(page, usb);
  // The board shares its process with the test: half the samples leave it the time it needs.
  await page.addInitScript(() => localStorage.setItem('leafclock.sampling-rate', 'normal'));
  return { usb, board, page, bench: new BenchPage(page, origin) };
}

async function untilTrue(holds: () => boolean): Promise<void> {
  await expect.poll(holds, { timeout: 60_000, interval: 20 }).toBe(true);
}

const untilLive = (page: Page) => page.locator('[data-board=live]').waitFor({ timeout: 120_000 });

async function boardLives({ core }: UsbBoard, seconds: number): Promise<void> {
  const until = core.cycle + seconds * CLOCK_HZ;
  await untilTrue(() => core.cycle >= until);
}

/** Fires and waits until the page shows the firing as recorded. */
async function fire(bench: BenchPage, { core }: UsbBoard, mark: string) {
  const before = await bench.shownId();
  await bench.waitForArmed();
  core.setDial(mark);
  core.fire();
  await untilTrue(() => core.state.blades === 'at rest');
  const id = await bench.waitForRecorded(before);
  return { id, truth: core.firings.at(-1)! };
}

describe('a browser that has WebUSB alone', () => {
  it('says which boards it reaches, connects one, reads it right, and stands a pulled cable', async () => {
    const { usb, board, page, bench } = await setUp();
    await bench.open('start');
    expect(await page.textContent('[data-ability=Board]')).toContain('some boards');
    expect(await page.textContent('[data-advice=word]')).toMatch(/CDC.*CH340/);

    await page.click('[data-action=connect]');
    await expect.poll(() => page.textContent('.notices')).toContain('chosen');

    usb.plug(board);
    await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
    await bench.open('start');
    await page.click('[data-action=connect]');
    await untilLive(page);
    await bench.open('bench');
    await bench.setMark('1/30');
    const first = await fire(bench, board, '1/30');
    const kept = (await bench.kept()).find(({ id }) => id === first.id)!;
    expect(kept.firing.spoilt).toBeNull();
    expect(Math.abs(kept.figures.effective! - first.truth.effectiveTime)).toBeLessThan(
      5e-6 + 0.01 * first.truth.effectiveTime,
    );

    await bench.waitForArmed();
    board.core.setDial('1');
    board.core.fire();
    await page.waitForSelector('[data-eye=open]');
    await boardLives(board, 0.3);
    usb.pull();
    await bench.waitForBoard('lost');
    expect(await page.textContent('.notices')).toContain('Plug it in again');
    // On a machine that is slow enough the silence is noticed before its cause.
    await expect.poll(() => bench.figure('verdict')).toMatch(/spoilt: (disconnected|silence)/);
    await untilTrue(() => board.core.state.blades === 'at rest');

    usb.plug(board);
    await untilLive(page);
    const again = await fire(bench, board, '1/30');
    const all = await bench.kept();
    expect(all.filter(({ firing }) => firing.spoilt !== null)).toHaveLength(1);
    const { effective } = all.find(({ id }) => id === again.id)!.figures;
    expect(Math.abs(effective! - again.truth.effectiveTime)).toBeLessThan(
      5e-6 + 0.01 * again.truth.effectiveTime,
    );
    expect(usb.device?.dropped).toBe(0);
  });

  it('takes a board up again after a reload, and lets it go on “Disconnect”', async () => {
    const { usb, board, page, bench } = await setUp();
    usb.plug(board);
    await bench.open('start');
    await page.click('[data-action=connect]');
    await untilLive(page);
    await page.reload();
    await untilLive(page);
    await bench.open('start');
    await page.click('text=Disconnect');
    await bench.waitForBoard('idle');
    expect(usb.device?.opened).toBe(false);
  });

  it('says what to use instead when the system holds the board, or its chip is of another kind', async () => {
    const { usb, board, page, bench } = await setUp();
    usb.plug(board).held = true;
    await bench.open('start');
    await page.click('[data-action=connect]');
    const trouble = page.locator('main [role=alert]');
    await trouble.waitFor();
    expect(await trouble.textContent()).toMatch(/driver.*Web Serial/);
    expect(await brokenRules(page)).toEqual([]);

    usb.plug(board, { classes: VENDOR_SPECIFIC, vendorId: 0x1a86, productId: 0x7523 });
    await page.click('text=Choose another port');
    await expect.poll(() => page.textContent('.notices')).toContain('chosen');
  });
});

describe('a page without a way to a board', () => {
  /** The built page as another origin, or with other headers than its own, by Chromium's own rules. */
  async function served(address: string | null, headers: Readonly<Record<string, string>> = {}) {
    rig = new Rig();
    rig.mayGoElsewhere = address !== null;
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const shown = address ?? origin;
    await browser.context.route(`${shown}/**`, async (route) => {
      const url = route.request().url().replace(shown, origin);
      const response = await route.fetch({ url }).catch(() => null); // the test is over
      if (response) await route.fulfill({ response, headers: { ...response.headers(), ...headers } });
    });
    await browser.page.goto(`${shown}/#start`);
    await browser.page.waitForSelector('[data-ability=Board]');
    return browser;
  }

  it('over plain http from another machine says how to open it, and offers nothing that would fail', async () => {
    const { page } = await served('http://tester.invalid');
    expect(await page.evaluate(() => isSecureContext)).toBe(false);
    expect(await page.textContent('[data-advice=trouble]')).toContain('http://localhost');
    expect(await brokenRules(page)).toEqual([]);
    expect(await page.textContent('[data-ability="Secure page"]')).toContain('no');
    for (const action of ['connect', 'practice'])
      expect(await page.isDisabled(`[data-action=${action}]`)).toBe(true);
  });

  it('kept from the ports by a policy says so', async () => {
    const { page } = await served(null, { 'permissions-policy': 'serial=(), usb=()' });
    expect(await page.textContent('[data-advice=trouble]')).toContain('Permissions-Policy');
    expect(await page.isDisabled('[data-action=connect]')).toBe(true);
  });

  it('in a browser with neither says what to use', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const { page } = await rig.launch(origin);
    await page.addInitScript(() => {
      for (const name of ['serial', 'usb'])
        delete (Navigator.prototype as unknown as Record<string, unknown>)[name];
    });
    await page.goto(`${origin}/#start`);
    expect(await page.textContent('[data-advice=trouble]')).toContain('practice bench');
    expect(await page.isDisabled('[data-action=connect]')).toBe(true);
  });
});
