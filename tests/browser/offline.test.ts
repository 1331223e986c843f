/** Everything works without a network once the page has been loaded, and it can be installed. */
import fs from 'node:fs';
import path from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { fontList, pageTexts } from '../certificate/pdf-tools.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { copyOfPage, openPractice, waitUntilKept } from './kept-page.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

const SCREENS = ['jobs', 'job', 'checks', 'bench', 'results', 'camera', 'certificate', 'settings'] as const;

it('the page loaded once, in a folder of its own, does the whole job without its server', async () => {
  rig = new Rig();
  const root = path.join(rig.directory, 'site');
  const folder = path.join(root, 'tools/leafclock');
  copyOfPage(folder);
  fs.writeFileSync(path.join(root, 'index.html'), '<title>another page</title>');
  const server = await rig.servePage(root);
  const address = `${server.origin}/tools/leafclock`;
  const browser = await rig.launch(server.origin);
  await browser.page.goto(`${address}/`);
  await waitUntilKept(browser.page);
  await server.close();
  await expect(fetch(`${address}/`)).rejects.toThrow();

  const page = await browser.context.newPage();
  await browser.page.close();
  await page.goto(`${address}/`);
  expect(await page.evaluate(() => [isSecureContext, crossOriginIsolated])).toEqual([true, true]);
  const bench = new BenchPage(page, address);
  await openPractice(page);
  await bench.setPracticeDial('1/30');
  await bench.firePractice(2);
  const kept = await bench.kept();
  expect(kept.length).toBe(2);
  for (const { firing, samplesKept } of kept) expect(samplesKept).toBe(firing.sampleCount);

  for (const screen of SCREENS) {
    await bench.open(screen);
    await page.waitForSelector('main');
    await expect.poll(() => page.textContent('main')).not.toMatch(/^Loading …$/);
    expect(await page.textContent('main'), screen).not.toMatch(/could not be loaded/);
  }
  await page.keyboard.press('?');
  await expect.poll(() => page.textContent('body')).toMatch(/First steps|half-height/);
  await page.keyboard.press('Escape');

  const download = await bench.savePdf();
  const pdf = new Uint8Array(fs.readFileSync(await download.path()));
  expect(pageTexts(pdf)[0]).toContain('1/30');
  expect(fontList(pdf)).toMatch(/DejaVuSansCondensed/);

  // Everything in the folder is on this computer, byte for byte.
  const files = fs.readdirSync(folder, { recursive: true, encoding: 'utf8' });
  const named = files.filter((name) => fs.statSync(path.join(folder, name)).isFile() && name !== 'sw.js');
  expect(named).toEqual(expect.arrayContaining(['manifest.webmanifest', 'icon-512.png', 'index.html']));
  expect(named.some((name) => name.endsWith('.ttf'))).toBe(true);
  const sizes = await page.evaluate(
    (names) =>
      Promise.all(
        names.map(async (name) => {
          const response = await fetch(`./${name}`);
          return [name, response.ok ? (await response.arrayBuffer()).byteLength : response.status];
        }),
      ),
    named,
  );
  expect(sizes).toEqual(named.map((name) => [name, fs.statSync(path.join(folder, name)).size]));
  expect(browser.complaints).toEqual([]);
});

it('can be installed: Chromium finds nothing in the way, and the manifest and its icons are sound', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const { page, context } = await rig.launch(origin);
  await page.goto(`${origin}/`);
  await waitUntilKept(page);
  const protocol = await context.newCDPSession(page);
  const manifest = await protocol.send('Page.getAppManifest');
  expect(manifest.url).toBe(`${origin}/manifest.webmanifest`);
  expect(manifest.errors).toEqual([]);
  expect(JSON.parse(manifest.data ?? '')).toMatchObject({ name: 'Leafclock', display: 'standalone' });
  const { installabilityErrors } = await protocol.send('Page.getInstallabilityErrors');
  expect(installabilityErrors).toEqual([]);
});
