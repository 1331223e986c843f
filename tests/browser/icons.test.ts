/**
 * The PNG icons are what Chromium makes of the SVG beside them. To renew one, delete it and run this test: it draws
 * what is missing, and fails that once.
 */
import fs from 'node:fs';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';

const ICONS = path.join(import.meta.dirname, '../../app/icons');
const dataUrl = (type: string, name: string) =>
  `data:${type};base64,${fs.readFileSync(path.join(ICONS, name)).toString('base64')}`;

let rig: Rig;
let page: Page;
beforeAll(async () => {
  rig = new Rig();
  page = (await rig.launch('about:blank')).page;
});
afterAll(() => rig.close());

/** The drawing as a PNG of `size` pixels, base64. */
function asPng(drawing: string, size: number): Promise<string> {
  return page.evaluate(
    async ([url, edge]) => {
      const image = new Image();
      image.src = url;
      await image.decode();
      const canvas = document.createElement('canvas');
      canvas.width = edge;
      canvas.height = edge;
      canvas.getContext('2d')!.drawImage(image, 0, 0, edge, edge);
      return canvas.toDataURL('image/png').split(',')[1]!;
    },
    [drawing, size] as const,
  );
}

/** Which part of all pixels differs plainly between two pictures drawn at `size` pixels. */
function partApart(pictures: readonly [string, string], size: number): Promise<number> {
  return page.evaluate(
    async ([[one, other], edge]) => {
      const pixelsOf = async (url: string) => {
        const image = new Image();
        image.src = url;
        await image.decode();
        const context = new OffscreenCanvas(edge, edge).getContext('2d')!;
        context.drawImage(image, 0, 0, edge, edge);
        return context.getImageData(0, 0, edge, edge).data;
      };
      const [a, b] = [await pixelsOf(one), await pixelsOf(other)];
      let apart = 0;
      for (let i = 0; i < a.length; i++) if (Math.abs(a[i]! - b[i]!) > 64) apart++;
      return apart / a.length;
    },
    [pictures, size] as const,
  );
}

it.each([
  ['icon-192.png', 'icon.svg', 192],
  ['icon-512.png', 'icon.svg', 512],
  ['icon-whole-512.png', 'icon-whole.svg', 512],
])('%s is %s drawn at %i pixels', async (name, source, size) => {
  const drawing = dataUrl('image/svg+xml', source);
  if (!fs.existsSync(path.join(ICONS, name))) {
    fs.writeFileSync(path.join(ICONS, name), Buffer.from(await asPng(drawing, size), 'base64'));
    expect.fail(`${name} was missing and has been drawn: look at it`);
  }
  const header = fs.readFileSync(path.join(ICONS, name));
  expect([header.readUInt32BE(16), header.readUInt32BE(20)]).toEqual([size, size]); // PNG: IHDR
  // Another release of Chromium may smooth an edge differently; another drawing differs in whole areas.
  const picture = dataUrl('image/png', name);
  expect(await partApart([picture, drawing], size)).toBeLessThan(0.001);
  expect(await partApart([picture, dataUrl('image/svg+xml', otherOf(source))], size)).toBeGreaterThan(0.02);
});

const otherOf = (source: string) => (source === 'icon.svg' ? 'icon-whole.svg' : 'icon.svg');
