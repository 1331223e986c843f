/** The page does not run inside another one, with the headers or without them. */
import fs from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';

const BUILT_PAGE = path.join(import.meta.dirname, '../../build/page');
const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
};

let rig: Rig | null = null;
beforeEach(() => {
  rig = new Rig();
});
const servers: Server[] = [];
afterEach(async () => {
  await rig?.close();
  for (const server of servers.splice(0)) {
    server.closeAllConnections();
    server.close();
  }
});

/** A server that knows nothing of headers: the built page, and at /around a page with `framed` in a frame. */
async function bareServer(framed: (own: string) => string): Promise<string> {
  const server = createServer((request, response) => {
    const name = (request.url ?? '/').replace(/^\/$/, '/index.html');
    const file = path.join(BUILT_PAGE, name);
    if (name === '/around') {
      response.setHeader('Content-Type', 'text/html');
      response.end(`<!doctype html><title>around</title><iframe src="${framed(origin)}"></iframe>`);
    } else if (fs.existsSync(file)) {
      response.setHeader('Content-Type', TYPES[path.extname(file)] ?? 'application/octet-stream');
      response.end(fs.readFileSync(file));
    } else response.writeHead(404).end();
  });
  await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
  servers.push(server);
  const origin = `http://localhost:${(server.address() as AddressInfo).port}`;
  return origin;
}

async function openAround(origin: string) {
  rig!.mayGoElsewhere = true;
  const { page } = await rig!.launch(origin);
  await page.goto(`${origin}/around`);
  return page;
}

describe('inside another page', () => {
  it.each(['of the same origin', 'of another origin'])(
    '%s it refuses by itself, without any header',
    async (where) => {
      const elsewhere = await bareServer((own) => `${own}/`);
      const around =
        where === 'of the same origin' ? elsewhere : await bareServer(() => `${elsewhere}/index.html`);
      const page = await openAround(around);
      const frame = page.frameLocator('iframe');
      await frame.locator('text=Leafclock does not run inside another page').waitFor();
      expect(await frame.locator('button, a, input, nav').count()).toBe(0);
      const inner = page.frames().find((one) => one !== page.mainFrame())!;
      expect(await inner.evaluate(async () => (await indexedDB.databases()).length)).toBe(0);
      expect(
        await inner.evaluate(async () => (await navigator.serviceWorker.getRegistrations()).length),
      ).toBe(0);
    },
  );

  it('it is not even shown with the headers', async () => {
    const { origin: served } = await rig!.servePage();
    const page = await openAround(await bareServer(() => `${served}/`));
    await expect.poll(() => page.frames().length).toBe(2);
    const inner = page.frames()[1]!;
    await expect.poll(() => inner.url()).toBe('chrome-error://chromewebdata/');
  });
});

it('without headers it works all the same, under the policy that it carries', async () => {
  const origin = await bareServer((own) => own);
  const { page, complaints } = await rig!.launch(origin);
  await page.goto(`${origin}/`);
  await page.click('[data-action=practice]');
  await page.waitForSelector('[data-board]:not([data-board=idle])');
  await page.waitForSelector('[data-table=speeds]');
  expect(complaints).toEqual([]);
  // The policy is the same: an address elsewhere is not even asked.
  const asked = await page.evaluate(() =>
    fetch('https://example.org/').then(
      () => 'answered',
      (error: Error) => error.name,
    ),
  );
  expect(asked).toBe('TypeError');
  expect(complaints.join('\n')).toMatch(/Content Security Policy/);
});
