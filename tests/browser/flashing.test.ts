/**
 * From a bare board to a first reading: real Chromium, its own Web Serial, and boot loaders as boards are sold with
 * them, built from source, in the emulated chip.
 */
import fs from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readHexImage } from '../../app/practice/chip/hex-image.ts';
import type { Board, BoardOptions } from '../rig/board.ts';
import { otherFirmware } from '../rig/board-programs.ts';
import type { Browser } from '../rig/browser.ts';
import { firmwareOfVersion } from '../rig/firmware-version.ts';
import { Rig } from '../rig/rig.ts';
import { brokenRules } from './axe-rules.ts';
import { BenchPage } from './bench-page.ts';
import { Ledger } from './ledger.ts';
import { until } from './until.ts';

const CARRIED = new URL('../../firmware-protocol/atmega328p/tester.hex', import.meta.url);
/** A machine that is busy with something else takes its time. */
const PATIENTLY = { timeout: 120_000 };

let rig: Rig;
let browser: Browser;
let bench: BenchPage;
let plugged: Board | null = null;

beforeAll(async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  browser = await rig.launch(origin);
  bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
});
afterAll(() => rig.close());

/** Another board at the same cable, which the page does not expect. */
async function plug(options: BoardOptions): Promise<Board> {
  if (plugged) {
    await bench.open('start');
    await browser.page.click('button:has-text("Disconnect")');
    await plugged.stop();
  }
  plugged = await rig.startBoard(options);
  await plugged.plug();
  return plugged;
}

const card = (phase: string) => browser.page.locator(`[data-flashing=${phase}]`).waitFor(PATIENTLY);
const stage = (name: string) => browser.page.locator(`[data-stage=${name}]`).waitFor(PATIENTLY);
const press = (action: string) => browser.page.click(`[data-action=${action}]`, PATIENTLY);
const words = async (selector: string) => (await browser.page.textContent(selector)) ?? '';
const written = () => browser.page.$eval('.flash progress', (bar) => (bar as HTMLProgressElement).value);
/** Some pages are there, and some are not. */
const amidWriting = () => expect.poll(async () => (await written()) > 0.3, PATIENTLY).toBe(true);

/** On the start screen: what is on the port is refused, and the firmware offered. */
async function connectInVain(): Promise<string> {
  await bench.open('start');
  await press('connect');
  await card('idle');
  return words('main [role=alert]');
}

/** From the offer to a live board that holds just what the page carries, and the boot loader it had. */
async function untilLive(board: Board): Promise<void> {
  await card('done');
  await bench.waitForBoard('live');
  const { bytes, bootLoaderWrites } = await board.readProgram();
  const carried = new Uint8Array(readHexImage(fs.readFileSync(CARRIED, 'latin1')).buffer);
  const end = carried.findLastIndex((byte) => byte !== 0xff) + 1;
  expect(Buffer.from(bytes.subarray(0, end)).equals(carried.subarray(0, end))).toBe(true);
  expect(bootLoaderWrites).toBe(0);
}

describe('a bare board', () => {
  it('is recognised by its silence, offered the firmware, and measures', async () => {
    const board = await plug({ image: null, bootLoader: 'small', seed: 101 });
    const ledger = new Ledger(bench, board);
    expect(await connectInVain()).toMatch(/nothing was heard.*put the firmware on it/i);
    expect(await words('.flash')).toMatch(/ATmega328P.*16 MHz/);
    expect(await brokenRules(browser.page)).toEqual([]);
    await press('flash');
    expect(await words('.flash .question')).toMatch(/lost/);
    await press('flash-no');
    await press('flash');
    await press('flash-yes');
    // Each step is seen, with a bar that goes on.
    await stage('find');
    await stage('write');
    await amidWriting();
    expect(await bench.boardWords()).toContain('firmware');
    expect(await brokenRules(browser.page)).toEqual([]);
    await stage('check');
    await untilLive(board);
    expect(await words('.flash')).toMatch(/tester now.*ATmega328P/);
    expect(await brokenRules(browser.page)).toEqual([]);

    await bench.open('bench');
    await board.setDial('1/60');
    await bench.setMark('1/60');
    await ledger.fire(board);
    expect((await bench.table()).get('1/60')?.n).toBe('1');
  });
});

describe('a board with another program', () => {
  it('is offered the firmware; the cable is pulled half-way; plugged in again it is put on whole', async () => {
    const board = await plug({ image: otherFirmware(), bootLoader: 'small', seed: 102 });
    expect(await connectInVain()).toMatch(/put the firmware on/i);
    await press('flash');
    await press('flash-yes');
    await stage('write');
    await amidWriting();
    await board.unplug();
    await card('failed');
    expect(await words('.flash [role=alert]')).toMatch(/plug it in again.*untouched/i);
    expect(await brokenRules(browser.page)).toEqual([]);
    await press('flash-again');
    await expect.poll(() => words('.notices'), PATIENTLY).toMatch(/not there: plug it in/);
    await board.plug();
    await until(browser.page, async () => (await navigator.serial.getPorts()).length === 1);
    await press('flash-again');
    await untilLive(board);
  });
});

describe('a board with the older boot loader and another version of the firmware', () => {
  let board: Board;

  it('is live, and its version is set against the one that the page brings', async () => {
    const image = firmwareOfVersion(0, rig.directory);
    board = await plug({ image, bootLoader: 'older', seed: 103 });
    await bench.connectBoard();
    await bench.open('settings');
    await browser.page.click('[data-part=boards]');
    await expect.poll(() => words('[data-present]')).toMatch(/firmware 1\.0, the page brings 1\.\d+/);
    expect(await brokenRules(browser.page)).toEqual([]);
  });

  it('is left half-written by the user, who is told so', async () => {
    // Leafclock's own is replaced without a question.
    await press('flash');
    await stage('write');
    await amidWriting();
    await press('flash-give-up');
    await card('failed');
    expect(await words('.flash [role=alert]')).toMatch(/put it on again/i);
  });

  it('is put right over a line that damages bytes both ways', async () => {
    const damage = { rate: 1 / 2500, kinds: ['flipped', 'dropped', 'inserted'] as const };
    await board.damage({ ...damage, seed: 104 }, { ...damage, seed: 105 });
    await press('flash-again');
    await stage('check');
    await expect.poll(() => board.damages.length, PATIENTLY).toBeGreaterThan(3);
    await board.damage(null);
    await untilLive(board);
    await expect
      .poll(() => words('[data-table=boards] tbody tr:has-text("connected")'))
      .toMatch(/firmware 1\.[1-9]/);
  });

  it('complains of nothing in the page', () => {
    expect(browser.complaints).toEqual([]);
  });
});
