/** How much the start screen loads: every file that Chromium asks for, each as gzip -9 leaves it. */
import { gzipSync } from 'node:zlib';
import { Rig } from '../rig/rig.ts';
import { builtPage } from './built-page.ts';
import type { Figure } from './figure.ts';
import { rounded } from './rounds.ts';

export async function measureStartPage(): Promise<readonly Figure[]> {
  const rig = new Rig();
  try {
    const { origin } = await rig.servePage(await builtPage());
    const { page, context } = await rig.launch(origin);
    const asked = new Set<string>();
    context.on('request', (request) => {
      // The service worker fetches the rest of the page for later: that keeps nobody waiting.
      if (request.serviceWorker() === null) asked.add(request.url());
    });
    await page.goto(`${origin}/`, { waitUntil: 'networkidle' });
    await page.waitForSelector('[data-action=connect], [data-action=practice]');
    // A browser without a window may leave out the icon, which a visible one loads.
    for (const url of await page.$$eval('link[href]', (links) =>
      links.map((link) => (link as HTMLLinkElement).href),
    ))
      asked.add(url);
    const sizes = await Promise.all(
      [...asked]
        .filter((url) => url.startsWith('http'))
        .map(async (url) => ({ url, bytes: await compressedSize(url) })),
    );
    sizes.sort((a, b) => b.bytes - a.bytes);
    return [
      {
        quantity: 'start page, gzip -9',
        value: sizes.reduce((sum, { bytes }) => sum + bytes, 0) / 1e3,
        unit: 'kB',
        expectation: { most: 100 },
        detail: sizes.map(({ url, bytes }) => `${new URL(url).pathname} ${rounded(bytes / 1e3)}`).join(', '),
      },
    ];
  } finally {
    await rig.close();
  }
}

async function compressedSize(url: string): Promise<number> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  return gzipSync(new Uint8Array(await response.arrayBuffer()), { level: 9 }).length;
}
