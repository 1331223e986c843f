/**
 * The rig alone, on a blank page: when these fail, look at the rig (or at this machine's Chromium) before
 * looking at the app.
 */
import fs from 'node:fs';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import type { Browser } from '../rig/browser.ts';
import { Rig, type RigPort } from '../rig/rig.ts';

let rig: Rig;
afterEach(() => rig.close());

async function openBlankPage(): Promise<{ browser: Browser; folder: string }> {
  const folder = path.join(rig.directory, 'blank');
  fs.mkdirSync(folder, { recursive: true });
  fs.writeFileSync(path.join(folder, 'index.html'), '<!doctype html><title>Blank</title>');
  const server = await rig.servePage(folder);
  const browser = await rig.launch(server.origin);
  await browser.page.goto(server.origin);
  return { browser, folder };
}

/** Opens the first port in the page and gathers what it reads in window.heard. */
async function listen(browser: Browser, baudRate = 500_000): Promise<void> {
  await browser.page.evaluate(async (baud) => {
    const [port] = await navigator.serial.getPorts();
    if (!port) throw new Error('The browser shows no port');
    await port.open({ baudRate: baud, bufferSize: 1 << 20 });
    const heard: number[] = [];
    const ended = (async () => {
      const reader = port.readable?.getReader();
      if (!reader) return 'no reader';
      try {
        for (;;) {
          const { value, done } = await reader.read();
          if (done) return 'done';
          heard.push(...value);
        }
      } catch (error) {
        return (error as DOMException).name;
      } finally {
        reader.releaseLock();
      }
    })();
    Object.assign(window, { port, heard, ended });
  }, baudRate);
}

const heardBytes = (browser: Browser, count: number) =>
  browser.page
    .waitForFunction((least) => (window as unknown as { heard: number[] }).heard.length >= least, count)
    .then(() => browser.page.evaluate(() => (window as unknown as { heard: number[] }).heard));

const soon = { timeout: 10_000 };

describe('the serial rig', () => {
  it('carries every byte value both ways, at the speed that the page has set', async () => {
    rig = new Rig();
    const { line } = await rig.plugPort();
    const { browser } = await openBlankPage();
    const fromPage: number[] = [];
    line.on('bytes', (bytes) => fromPage.push(...bytes));
    await listen(browser);
    await expect.poll(() => line.speed, soon).toBe(500_000);

    const every = Uint8Array.from({ length: 256 }, (_, value) => value);
    line.write(every);
    expect(await heardBytes(browser, 256)).toEqual([...every]);

    await browser.page.evaluate(async () => {
      const writer = (window as unknown as { port: SerialPort }).port.writable?.getWriter();
      await writer?.write(Uint8Array.from({ length: 256 }, (_, value) => value));
    });
    await expect.poll(() => fromPage.length, soon).toBe(256);
    expect(fromPage).toEqual([...every]);
  });

  it('shows no port but its own, identified by what the page may check', async () => {
    rig = new Rig();
    const { browser } = await openBlankPage();
    const ports = () =>
      browser.page.evaluate(async () => (await navigator.serial.getPorts()).map((port) => port.getInfo()));
    expect(await ports()).toEqual([]);
    await rig.plugPort();
    await expect.poll(ports, soon).toEqual([{ usbVendorId: 0x2341, usbProductId: 0x0043 }]);
  });

  it('plugs in, unplugs and plugs in again while the page looks on', async () => {
    rig = new Rig();
    const { browser } = await openBlankPage();
    await browser.page.evaluate(async () => {
      const events: string[] = [];
      navigator.serial.addEventListener('connect', () => events.push('connect'));
      navigator.serial.addEventListener('disconnect', () => events.push('disconnect'));
      Object.assign(window, { events });
      await navigator.serial.getPorts();
    });
    const events = () => browser.page.evaluate(() => (window as unknown as { events: string[] }).events);
    let port: RigPort = await rig.plugPort();
    await expect.poll(events, soon).toEqual(['connect']);
    await listen(browser);
    await port.unplug();
    await expect.poll(events, soon).toEqual(['connect', 'disconnect']);
    expect(await browser.page.evaluate(() => (window as unknown as { ended: string }).ended)).toBe(
      'NetworkError',
    );

    port = await rig.plugPort();
    await expect.poll(events, soon).toEqual(['connect', 'disconnect', 'connect']);
    await listen(browser);
    port.line.write(Uint8Array.of(1, 2, 3));
    expect(await heardBytes(browser, 3)).toEqual([1, 2, 3]);
  });

  it('a line that goes dead ends the reading although the port stays listed', async () => {
    rig = new Rig();
    const port = await rig.plugPort();
    const { browser } = await openBlankPage();
    await listen(browser);
    await port.hangUp();
    expect(await browser.page.evaluate(() => (window as unknown as { ended: string }).ended)).toBe(
      'NetworkError',
    );
    expect(await browser.page.evaluate(async () => (await navigator.serial.getPorts()).length)).toBe(1);
  });

  it('loses and counts what a full line cannot take', async () => {
    rig = new Rig();
    const { line } = await rig.plugPort();
    const { browser } = await openBlankPage();
    await browser.page.evaluate(async () => {
      const [port] = await navigator.serial.getPorts();
      await port?.open({ baudRate: 500_000, bufferSize: 1024 }); // opened, and never read
    });
    await expect.poll(() => line.isOpen, soon).toBe(true);
    line.write(new Uint8Array(400_000));
    await expect.poll(() => line.dropped, soon).toBeGreaterThan(100_000);
  });

  it('kills the browser outright and finds the same storage and leave on the next start', async () => {
    rig = new Rig();
    await rig.plugPort();
    const first = await openBlankPage();
    const put = () => {
      return new Promise<void>((resolve, reject) => {
        const request = indexedDB.open('rig', 1);
        request.onupgradeneeded = () => request.result.createObjectStore('kept');
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const writing = request.result.transaction('kept', 'readwrite', { durability: 'strict' });
          writing.objectStore('kept').put('value', 'key');
          writing.oncomplete = () => resolve();
        };
      });
    };
    await first.browser.page.evaluate(put);
    await first.browser.kill();

    const origin = new URL(first.browser.page.url()).origin;
    const second = await rig.launch(origin, { profile: first.browser.profile });
    await second.page.goto(origin);
    const get = () => {
      return new Promise((resolve, reject) => {
        const request = indexedDB.open('rig', 1);
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const reading = request.result.transaction('kept').objectStore('kept').get('key');
          reading.onsuccess = () => resolve(reading.result);
        };
      });
    };
    expect(await second.page.evaluate(get)).toBe('value');
    expect(await second.page.evaluate(async () => (await navigator.serial.getPorts()).length)).toBe(1);
  });

  it('serves with the headers of the product and notices a request to another origin', async () => {
    rig = new Rig();
    rig.mayGoElsewhere = true;
    const { browser, folder } = await openBlankPage();
    const elsewhere = await rig.servePage(folder);
    await browser.page.evaluate((url) => fetch(url).catch(() => null), elsewhere.origin);
    expect(browser.complaints.join('\n')).toMatch(/Content.Security.Policy/i);

    await browser.page.goto(elsewhere.origin);
    expect(browser.foreignRequests).toContain(`${elsewhere.origin}/`);
  });

  it('fails at the end of a test whose page asked for something of another origin', async () => {
    rig = new Rig();
    const { browser, folder } = await openBlankPage();
    const elsewhere = await rig.servePage(folder);
    await browser.page.goto(elsewhere.origin);
    await expect(rig.close()).rejects.toMatchObject({
      errors: [expect.objectContaining({ message: expect.stringContaining(elsewhere.origin) })],
    });
  });
});
