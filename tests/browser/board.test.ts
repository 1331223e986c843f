/**
 * The emulated board at the far end of the rig's line, on a blank page that only passes bytes through:
 * when these fail, look at the rig or the firmware before looking at the app.
 */
import fs from 'node:fs';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { lastLight } from '../../app/practice/firing-plan.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Command, Message, Samples } from '../../firmware-protocol/messages.ts';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { until } from './until.ts';

let rig: Rig;
afterEach(() => rig.close());

/** A page that keeps what it reads and writes what it is told, and the board on its line. */
async function connect({ baudRate = 500_000 } = {}): Promise<{ board: Board; browser: Browser }> {
  rig = new Rig();
  const folder = path.join(rig.directory, 'blank');
  fs.mkdirSync(folder);
  fs.writeFileSync(path.join(folder, 'index.html'), '<!doctype html><title>Blank</title>');
  const server = await rig.servePage(folder);
  const board = await rig.startBoard({ bootTime: 50 });
  await board.plug();
  const browser = await rig.launch(server.origin);
  await browser.page.goto(server.origin);
  await open(browser, baudRate);
  return { board, browser };
}

/** Opens the port that is there and keeps what comes in window.chunks. */
async function open(browser: Browser, speed: number): Promise<void> {
  await browser.page.evaluate(async (baudRate) => {
    const [port] = await navigator.serial.getPorts();
    if (!port) throw new Error('The browser shows no port');
    await port.open({ baudRate, bufferSize: 1 << 20 });
    const chunks: Uint8Array[] = [];
    Object.assign(window, { port, chunks });
    const reader = port.readable?.getReader();
    const gather = async () => {
      for (let part = await reader?.read(); part && !part.done; part = await reader?.read())
        chunks.push(part.value);
    };
    gather().catch(() => {}); // the cable is pulled
  }, speed);
}

async function send(browser: Browser, command: Command): Promise<void> {
  await browser.page.evaluate(
    async (bytes) => {
      const writer = (window as unknown as { port: SerialPort }).port.writable?.getWriter();
      await writer?.write(Uint8Array.from(bytes));
      writer?.releaseLock();
    },
    [...encodeCommand(command)],
  );
}

/** Everything read since the port was opened. */
async function heard(browser: Browser): Promise<{ messages: Message[]; damages: number }> {
  const url = await browser.page.evaluate(() => {
    const { chunks } = window as unknown as { chunks: BlobPart[] };
    const reader = new FileReader();
    return new Promise<string>((resolve) => {
      reader.onload = () => resolve(reader.result as string);
      reader.readAsDataURL(new Blob(chunks));
    });
  });
  const messages: Message[] = [];
  let damages = 0;
  new MessageReader().push(
    Buffer.from(url.slice(url.indexOf(',') + 1), 'base64'),
    (message) => messages.push(message),
    () => damages++,
  );
  return { messages, damages };
}

async function heardType(browser: Browser, type: Message['type']): Promise<void> {
  const has = async () => (await heard(browser)).messages.some((message) => message.type === type);
  await expect.poll(has, { timeout: 20_000, interval: 100 }).toBe(true);
}

async function startStream(browser: Browser): Promise<void> {
  await heardType(browser, 'hello');
  await send(browser, { type: 'start', tag: 1 });
  await heardType(browser, 'samples');
}

describe('the emulated board behind the rig', () => {
  it('introduces itself and streams the light without loss, even to a page that is busy', async () => {
    const { board, browser } = await connect();
    await startStream(browser);
    await board.setDial('1/30');
    const firing = await board.fire();
    await browser.page.evaluate(() => {
      for (const end = performance.now() + 1500; performance.now() < end; );
    });

    const { messages, damages } = await heard(browser);
    expect(damages).toBe(0);
    expect(board.line).toMatchObject({ speed: 500_000, dropped: 0, atWrongSpeed: 0 });
    const blocks = messages.filter((message): message is Samples => message.type === 'samples');
    expect(blocks.filter((block) => block.lost > 0)).toEqual([]);
    blocks.slice(1).forEach((block, index) => {
      const before = blocks[index] as Samples;
      expect(block.index).toBe(before.index + before.values.length);
    });

    // Half of the light's height (106 codes), crossed once each way: as long as the shutter was half open.
    const samples = blocks.flatMap((block) => [...block.values]);
    const bright = samples.slice(samples.findIndex((value) => value > 106));
    const sampleTime = 416 / CLOCK_HZ; // 13 cycles of the converter's clock, 32 of the board's each
    const halfHeight = bright.findIndex((value) => value <= 106) * sampleTime;
    expect(Math.abs(halfHeight - firing.halfHeightTime)).toBeLessThan(3 * sampleTime);
    expect(board.firings).toEqual([firing]);
  });

  it('damages the line as often as told, and says when', async () => {
    const { board, browser } = await connect();
    await startStream(browser);
    await board.damage({ rate: 0.001, seed: 7 });
    await board.setDial('1');
    const ending = board.fire();
    await expect(board.fire()).rejects.toThrow('still running');
    const firing = await ending;
    await board.damage(null);
    const end = firing.startCycle + lastLight(firing.plan) * CLOCK_HZ;
    const within = board.damages.filter(
      (damage) => damage.toCycle > firing.startCycle && damage.fromCycle < end,
    );
    expect(within.length).toBeGreaterThan(20); // about 45 expected from 45 kB
    expect((await heard(browser)).damages).toBeGreaterThan(20);
  });

  it('survives a cable pulled in the middle of a firing, and starts anew when it is plugged in again', async () => {
    const { board, browser } = await connect();
    await startStream(browser);
    await board.setDial('1');
    const ending = board.fire();
    await board.unplug();
    expect(await ending).toMatchObject({ mark: '1' }); // the blades don't know about the cable
    await board.plug();
    await until(browser.page, async () => (await navigator.serial.getPorts()).length === 1);
    await open(browser, 500_000);
    await heardType(browser, 'hello');
    expect((await heard(browser)).messages.filter((message) => message.type === 'samples')).toEqual([]);
  });

  it('is not understood at another speed than its own', async () => {
    const { board, browser } = await connect({ baudRate: 115_200 });
    await expect.poll(() => board.line.atWrongSpeed, { timeout: 20_000 }).toBeGreaterThan(40);
    expect((await heard(browser)).messages).toEqual([]);
  });
});
