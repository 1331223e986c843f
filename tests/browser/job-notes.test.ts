/** Notes and pictures of a job, in the built page: nothing that was written or shown is lost, and no original kept. */
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { limitStorage } from './full-storage.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

/** `bytes`: room for all that is kept; as much as the browser likes when left out. */
async function setUpJob(bytes?: number) {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  // Before the first write: the browser doesn't ask again for a while once it has found plenty.
  if (bytes !== undefined) await limitStorage(browser, origin, bytes);
  const bench = new BenchPage(browser.page, origin);
  await bench.newJob({ description: 'Camera of a test' });
  return { browser, bench, origin, page: browser.page };
}

/** Drops or pastes files on the page as a user would: a picture of the size given, or bytes. */
const bring = (
  page: Page,
  how: 'drop' | 'paste',
  file: {
    name: string;
    type: string;
    size?: readonly [number, number];
    /** Fine noise, which no compression makes small. */
    noisy?: boolean;
    bytes?: readonly number[];
  },
) =>
  page.evaluate(
    async ({ how, file }) => {
      let content: BlobPart = new Uint8Array(file.bytes ?? []);
      if (file.size) {
        const canvas = new OffscreenCanvas(file.size[0], file.size[1]);
        const context = canvas.getContext('2d')!;
        context.fillStyle = 'teal';
        context.fillRect(0, 0, file.size[0] / 2, file.size[1]);
        if (file.noisy) {
          const noise = context.createImageData(file.size[0], file.size[1]);
          for (let i = 0; i < noise.data.length; i++) noise.data[i] = i % 4 === 3 ? 255 : (i * 7919) % 251;
          context.putImageData(noise, 0, 0);
        }
        content = await canvas.convertToBlob({ type: 'image/png' });
      }
      const carried = new DataTransfer();
      carried.items.add(new File([content], file.name, { type: file.type }));
      const wanted = { bubbles: true, cancelable: true };
      const event =
        how === 'drop'
          ? new DragEvent('drop', { ...wanted, dataTransfer: carried })
          : new ClipboardEvent('paste', { ...wanted, clipboardData: carried });
      document.querySelector('main')!.dispatchEvent(event);
      return event.defaultPrevented;
    },
    { how, file },
  );

/** Pictures as they are kept, read past the page. */
const keptPictures = (page: Page) =>
  page.evaluate(async () => {
    const database = await new Promise<IDBDatabase>((resolve, reject) => {
      const request = indexedDB.open('leafclock');
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    type Kept = { data: { type: string; width: number; height: number; bytes: Uint8Array } };
    const all = await new Promise<Kept[]>((resolve, reject) => {
      const request = database.transaction('pictures').objectStore('pictures').getAll();
      request.onsuccess = () => resolve(request.result as Kept[]);
      request.onerror = () => reject(request.error);
    });
    database.close();
    return all.map(({ data: { type, width, height, bytes } }) => ({
      type,
      width,
      height,
      size: bytes.length,
      start: [...bytes.slice(0, 3)],
    }));
  });

const PICTURE = '[data-note=picture]';
/** Scaling a picture down takes its time on a busy machine. */
const PATIENT = { timeout: 30_000 };
/** First bytes of a JPEG: SOI and the start of a marker (ITU-T T.81, B.1.1.3). */
const JPEG_START = [0xff, 0xd8, 0xff];

it('keeps notes and pictures, dropped, pasted or chosen, scaled down', async () => {
  const { page, browser } = await setUpJob();
  await page.fill('[data-field=new-note]', 'short screw at the release');
  await page.press('[data-field=new-note]', 'Control+Enter');
  await page.waitForSelector('[data-note=note]');
  expect(await page.inputValue('[data-field=new-note]')).toBe('');

  expect(await bring(page, 'drop', { name: 'front.png', type: 'image/png', size: [3000, 2000] })).toBe(true);
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(1);
  expect(await bring(page, 'paste', { name: 'image.png', type: 'image/png', size: [300, 900] })).toBe(true);
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(2);
  const kept = await keptPictures(page);
  expect(kept.map(({ width, height }) => [width, height]).toSorted((a, b) => a[0]! - b[0]!)).toEqual([
    [300, 900],
    [1600, 1067],
  ]);
  for (const picture of kept) {
    expect(picture.type).toBe('image/jpeg');
    expect(picture.start).toEqual(JPEG_START);
  }

  // Words, a tick for the job sheet, and all of it after a reload.
  await page.fill(`${PICTURE} textarea >> nth=0`, 'pasted one');
  await page.press(`${PICTURE} textarea >> nth=0`, 'Tab');
  await page.check(`${PICTURE} [data-field=on-job-sheet] >> nth=0`);
  await page.reload();
  await page.waitForSelector(`${PICTURE} img`);
  expect(await page.inputValue(`${PICTURE} textarea >> nth=0`)).toBe('pasted one');
  expect(await page.isChecked(`${PICTURE} [data-field=on-job-sheet] >> nth=0`)).toBe(true);
  expect(await page.isChecked(`${PICTURE} [data-field=on-job-sheet] >> nth=1`)).toBe(false);
  await expect
    .poll(() =>
      page.$$eval(`${PICTURE} img`, (all) => all.map((one) => (one as HTMLImageElement).naturalWidth)),
    )
    .toEqual([300, 1600]);

  // Large view by keyboard.
  await page.focus('[data-action=enlarge] >> nth=0');
  await page.keyboard.press('Enter');
  await expect.poll(() => page.getAttribute('dialog img', 'alt')).toBe('Picture: pasted one');
  await page.keyboard.press('ArrowRight');
  await expect.poll(() => page.textContent('dialog')).toContain('2 of 2');
  await page.keyboard.press('Escape');
  await expect.poll(() => page.locator('dialog').count()).toBe(0);

  // Deleted, brought back by undo, deleted again: its bytes go when nothing can bring it back.
  await page.click('[data-action=delete-note] >> nth=0');
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(1);
  await page.click('[data-action=undo]');
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(2);
  await page.click('[data-action=delete-note] >> nth=0');
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(1);
  expect(await keptPictures(page)).toHaveLength(2);
  await page.reload();
  await expect.poll(async () => (await keptPictures(page)).length, PATIENT).toBe(1);
  await page.waitForSelector(`${PICTURE} img`);
  expect(browser.complaints).toEqual([]);
});

it('refuses what is no picture or a damaged one, and loses nothing', async () => {
  const { page, browser, bench } = await setUpJob();
  await bring(page, 'drop', { name: 'good.png', type: 'image/png', size: [40, 30] });
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(1);

  await bring(page, 'drop', { name: 'notes.txt', type: 'text/plain', bytes: [72, 105] });
  await expect.poll(() => page.textContent('.notices'), PATIENT).toContain('“notes.txt” is no picture');
  // The signature of a PNG (W3C PNG, 5.2), and nothing behind it.
  const signature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
  await bring(page, 'drop', { name: 'broken.png', type: 'image/png', bytes: signature });
  await expect.poll(() => page.textContent('.notices'), PATIENT).toContain('“broken.png” could not be read');
  expect(await page.locator(PICTURE).count()).toBe(1);
  expect(await keptPictures(page)).toHaveLength(1);

  // What is half written when the screen is left is there again.
  await page.fill('[data-field=new-note]', 'spring hooks on from bel');
  await bench.open('bench');
  await bench.open('job');
  expect(await page.inputValue('[data-field=new-note]')).toBe('spring hooks on from bel');
  expect(browser.complaints).toEqual([]);
});

it('says when there is no room for a picture, and takes it once there is', async () => {
  const { page, bench, browser, origin } = await setUpJob(400_000);
  await bring(page, 'drop', { name: 'good.png', type: 'image/png', size: [40, 30] });
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(1);
  await page.fill('[data-field=new-note]', 'before it was full');
  await page.click('[data-action=add-note]');
  await bring(page, 'drop', { name: 'late.png', type: 'image/png', size: [1600, 1200], noisy: true });
  await expect
    .poll(() => page.textContent('.notices'), PATIENT)
    .toMatch(/picture was not kept.*(full|space|room)/i);
  expect(await page.locator(PICTURE).count()).toBe(1);
  await bench.open('job');
  expect(await page.locator('[data-note]').count()).toBe(2);
  await limitStorage(browser, origin, null);
  await bring(page, 'drop', { name: 'late.png', type: 'image/png', size: [1600, 1200], noisy: true });
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(2);
  await page.reload();
  await page.waitForSelector(`${PICTURE} img`);
  expect(await page.locator('[data-note]').count()).toBe(3);
});

it('takes pictures with a camera of the computer, and says when it may not', async () => {
  const { page, browser, origin } = await setUpJob();
  await browser.context.grantPermissions(['camera'], { origin });
  await page.click('[data-action=camera]');
  await page.waitForSelector('[data-action=shutter]:not([disabled])', PATIENT);
  await page.click('[data-action=shutter]');
  await expect.poll(() => page.textContent('dialog'), PATIENT).toContain('1 picture taken');
  await page.waitForSelector('[data-action=shutter]:not([disabled])');
  await page.click('[data-action=shutter]');
  await expect.poll(() => page.textContent('dialog'), PATIENT).toContain('2 pictures taken');
  // Closed, the camera is let go of.
  const camera = await page.evaluateHandle(
    () =>
      (
        document.querySelector<HTMLVideoElement>('dialog video')!.srcObject as MediaStream
      ).getVideoTracks()[0]!,
  );
  expect(await camera.evaluate(({ readyState }) => readyState)).toBe('live');
  await page.keyboard.press('Escape');
  await expect.poll(() => camera.evaluate(({ readyState }) => readyState)).toBe('ended');
  await expect.poll(() => page.locator(PICTURE).count(), PATIENT).toBe(2);
  for (const { width, height } of await keptPictures(page))
    expect(Math.max(width, height)).toBeLessThanOrEqual(1600);

  await browser.context.clearPermissions();
  await page.click('[data-action=camera]');
  await page.waitForSelector('dialog [role=alert]', PATIENT);
  expect(await page.textContent('dialog [role=alert]')).toContain('does not let this page use the camera');
  await page.keyboard.press('Escape');
  expect(await page.locator(PICTURE).count()).toBe(2);
});
