/** A board that resets, browns out, falls silent or sends without end: nothing false, nothing lost. */
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { UNO } from '../rig/port-list.ts';
import { Rig, type RigPort } from '../rig/rig.ts';
import { ScriptedBoard } from '../rig/scripted-board.ts';
import { BenchPage } from './bench-page.ts';
import { pause } from './bench-rig.ts';
import { Ledger } from './ledger.ts';

let rig: Rig;
let board: Board;
let browser: Browser;
let bench: BenchPage;
let ledger: Ledger;

beforeAll(async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  board = await rig.startBoard({ seed: 94, bootTime: 100 });
  await board.plug();
  browser = await rig.launch(origin);
  bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  await bench.connectBoard();
  ledger = new Ledger(bench, board);
});
afterAll(() => rig.close());

const notices = async () => (await browser.page.textContent('.notices')) ?? '';

/** Resets the board in the middle of a firing; what the page says of it tells that it has noticed. */
async function resetAmidFiring(cause: 'external' | 'brown-out', words: RegExp): Promise<void> {
  await bench.waitForArmed();
  const firing = board.holdOpen(3);
  await browser.page.waitForSelector('[data-eye=open]');
  await board.reset(cause);
  await expect.poll(notices, { timeout: 30_000 }).toMatch(words);
  await firing;
  await bench.waitForBoard('live');
  expect(await bench.figure('verdict')).toContain('spoilt');
}

describe('a board that is reset', () => {
  it('in the middle of a firing: that firing is spoilt, the next one counts', async () => {
    await board.setDial('1');
    await bench.setMark('1');
    await resetAmidFiring('external', /was reset/i);
    await ledger.fire(board);
    expect((await ledger.check()).filter(({ firing }) => firing.spoilt !== null)).toHaveLength(1);
    expect((await bench.table()).get('1')?.n).toBe('1');
  });

  it('by a supply that sagged: says what to do about the supply', async () => {
    await resetAmidFiring('brown-out', /supply/i);
    expect(await notices()).toMatch(/cable|hub/i);
    await ledger.fire(board);
  });

  it('again and again: says how often, and is live when the supply holds', async () => {
    for (let sag = 0; sag < 4; sag++) {
      await board.reset('brown-out');
      await pause(300);
    }
    await bench.waitForBoard('live');
    await expect.poll(notices, { timeout: 10_000 }).toMatch(/times/i);
    await board.setDial('1/60');
    await bench.setMark('1/60');
    await ledger.fire(board);
  });
});

describe('a board that falls silent', () => {
  it('in the middle of a firing: says so, and goes on by itself when it speaks again', async () => {
    await board.setDial('1');
    await bench.setMark('1');
    await bench.waitForArmed();
    const firing = board.holdOpen(3);
    await browser.page.waitForSelector('[data-eye=open]');
    await board.mute(true);
    await bench.waitForBoard('lost');
    expect(await notices()).toMatch(/cable|power/i);
    await firing;
    await board.mute(false);
    await bench.waitForBoard('live');
    await board.setDial('1/60');
    await bench.setMark('1/60');
    await ledger.fire(board);
  });
});

describe('a board that sends without end', () => {
  const EVERY_MS = 5;
  let port: RigPort;
  let flood: ReturnType<typeof setInterval> | undefined;

  beforeAll(async () => {
    await board.unplug();
    await bench.waitForBoard('lost');
  });
  afterEach(async () => {
    clearInterval(flood);
    await port.unplug();
  });

  /** A board that is live, and from then on sends what `next` makes. */
  async function flooded(next: (scripted: ScriptedBoard) => Uint8Array): Promise<void> {
    port = await rig.plugPort(UNO);
    const scripted = new ScriptedBoard(port.line);
    const steady = setInterval(() => {
      if (scripted.isStreaming) port.line.write(scripted.blocks(3));
    }, 10);
    await bench.waitForBoard('live'); // as any board of its kind that is plugged in again
    clearInterval(steady);
    flood = setInterval(() => port.line.write(next(scripted)), EVERY_MS);
  }

  async function letGo(): Promise<void> {
    await bench.waitForBoard('refused');
    await bench.open('start'); // the page can be worked
    expect(await browser.page.textContent('main [role=alert]')).toMatch(/unplug|another port/i);
    await expect.poll(() => port.line.isOpen, { timeout: 20_000 }).toBe(false);
  }

  it('of bytes without a delimiter: is let go', async () => {
    const junk = new Uint8Array(65_536).fill(0x55);
    await flooded(() => junk);
    await letGo();
  });

  it('of whole frames, far faster than any line: is let go', async () => {
    await flooded((scripted) => scripted.blocks(50));
    await letGo();
  });

  it('is forgotten when the tester is there again', async () => {
    await board.plug();
    await bench.waitForBoard('live');
    await bench.open('bench');
    await ledger.fire(board);
  });
});
