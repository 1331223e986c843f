/** The space that everything lies in: full, of an older layout, copied to a folder, and the reminder to save it. */
import 'fake-indexeddb/auto';
import fs from 'node:fs';
import type { Page } from 'playwright-core';
import { afterEach, describe, expect, it } from 'vitest';
import { openRecord } from '../../app/record/database.ts';
import { readJobFile, writeJobFile } from '../../app/record/job-file.ts';
import { sampleFiring, sampleJob } from '../record/sample-records.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { limitStorage } from './full-storage.ts';
import { keptData } from './kept-data.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

async function openData(page: Page): Promise<void> {
  await page.click('[data-screen=settings]');
  await page.click('[data-part=data]');
  await page.waitForSelector('[data-card=import]');
}

describe('storage that is full', () => {
  it('is said while firing, and nothing is lost: it is recorded once there is room', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    const bench = new BenchPage(page, origin);
    // Room for some firings, at 17 kB each; told before the page writes for the first time.
    await limitStorage(browser, origin, 120_000);
    await bench.open('start');
    await page.click('[data-action=practice]');
    await bench.waitForBoard('live');
    await bench.open('bench');
    await bench.setPracticeDial('1/60');
    const recorded: string[] = [];
    let state = 'recorded';
    while (state === 'recorded' && recorded.length < 40) {
      const before = await bench.shownId();
      await bench.waitForArmed();
      await page.keyboard.press('Space');
      const next = `:not([data-reading="${before}"])`;
      await page.waitForSelector(`[data-kept=recorded]${next}, [data-kept="not recorded"]${next}`);
      state = (await page.getAttribute('[data-reading]', 'data-kept'))!;
      if (state === 'recorded') recorded.push(await bench.shownId());
    }
    expect(state).toBe('not recorded');
    const waiting = await bench.shownId();
    expect(await page.textContent('.notices')).toMatch(/full/);
    expect((await bench.kept()).map(({ id }) => id)).toEqual(recorded);

    // A file of everything says what it lacks.
    await openData(page);
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.click('[data-action=export-everything]'),
    ]);
    expect((await readJobFile(await blobOf(download))).counts.firings).toBe(recorded.length);
    await expect.poll(() => page.textContent('.notices')).toMatch(/1 firing is not recorded yet/);

    await limitStorage(browser, origin, null);
    await bench.open('bench');
    await page.click('text=Try to record it again');
    await page.waitForSelector(`[data-kept=recorded][data-reading="${waiting}"]`);
    const kept = await bench.kept();
    expect(kept.map(({ id }) => id)).toEqual([...recorded, waiting]);
    for (const firing of kept) expect(firing.samplesKept).toBe(firing.firing.sampleCount);
  });

  it('is said while a file is read in, with what is whole; afterwards the same file goes on', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    await page.goto(`${origin}/#settings`);
    await openData(page);
    const buffer = await invented();
    const give = async () => {
      await page.setInputFiles('[data-action=import]', {
        name: 'jobs.leafclock',
        mimeType: 'application/octet-stream',
        buffer,
      });
      await page.waitForSelector('[data-import=asking]');
    };
    await give();
    await limitStorage(browser, origin, 1);
    await page.click('[data-action=take-in]');
    await page.waitForSelector('[data-import=refused]');
    expect(await page.textContent('[data-refused]')).toMatch(/No job was imported\..*full/s);
    expect((await keptData(page)).jobs).toEqual([]);
    await limitStorage(browser, origin, null);
    await give();
    await page.click('[data-action=take-in]');
    await page.waitForSelector('[data-import=done]');
    const { jobs, samples } = await keptData(page);
    expect(jobs).toHaveLength(1);
    expect(samples).toHaveLength(2);
  });
});

const blobOf = async (download: { path(): Promise<string> }) =>
  new Blob([new Uint8Array(fs.readFileSync(await download.path()))]);

/** A file with one invented job of two firings. */
async function invented(): Promise<Buffer> {
  const record = await openRecord({ name: `made ${Math.floor(performance.now())}` });
  await record.saveJob(sampleJob('job-1'));
  for (const ordinal of [1, 2]) await record.addFiring(sampleFiring({ id: `firing-${ordinal}`, ordinal }));
  const { file } = await writeJobFile(record, ['job-1']);
  record.close();
  return Buffer.from(await file.arrayBuffer());
}

const VERSION_1 = JSON.parse(
  fs.readFileSync(new URL('../record/version-1.json', import.meta.url), 'utf8'),
) as Record<'job' | 'firing' | 'firing without figures' | 'workshop' | 'open job', { data: { id: string } }>;

describe('a browser of the first days', () => {
  it('keeps everything when the page becomes newer: the database of layout 1 with records of version 1', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    // An empty page of the origin: the database is laid out before the real page has ever run.
    await page.route('**/empty', (route) => route.fulfill({ contentType: 'text/html', body: 'empty' }));
    await page.goto(`${origin}/empty`);
    const sampleCount = await page.evaluate(async (records) => {
      const database = await new Promise<IDBDatabase>((resolve, reject) => {
        const request = indexedDB.open('leafclock', 1);
        request.onupgradeneeded = () => {
          const made = request.result;
          made.createObjectStore('jobs', { keyPath: 'id' });
          made.createObjectStore('firings', { keyPath: 'id' }).createIndex('job', 'jobId');
          made.createObjectStore('samples');
          made.createObjectStore('settings');
          made.createObjectStore('counters');
        };
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
      const tx = database.transaction(['jobs', 'firings', 'samples', 'settings', 'counters'], 'readwrite');
      const put = (store: string, value: unknown, key?: string) => tx.objectStore(store).put(value, key);
      const { job, workshop } = records;
      put('jobs', { id: job.data.id, ...job });
      let count = 0;
      for (const firing of [records.firing, records['firing without figures']]) {
        const {
          id,
          jobId,
          firing: curve,
        } = firing.data as unknown as {
          id: string;
          jobId: string;
          firing: { sampleCount: number };
        };
        count += curve.sampleCount;
        put('firings', { id, jobId, ...firing });
        put(
          'samples',
          Uint8Array.from({ length: curve.sampleCount }, (_, i) => (i * 37) % 256),
          id,
        );
      }
      put('settings', workshop, 'workshop');
      put('settings', records['open job'], 'open job');
      put('counters', 1, 'job');
      await new Promise((resolve, reject) => {
        tx.oncomplete = resolve;
        tx.onerror = () => reject(tx.error);
      });
      database.close();
      return count;
    }, VERSION_1);

    const bench = new BenchPage(page, origin);
    await page.goto(`${origin}/#bench`);
    await page.waitForSelector('[data-table=speeds]');
    await expect.poll(async () => (await bench.kept()).length).toBe(2);
    const kept = await bench.kept();
    expect(kept.reduce((sum, firing) => sum + firing.samplesKept, 0)).toBe(sampleCount);
    const fired = [...(await bench.table()).values()].filter(({ n }) => Number(n) > 0);
    expect(fired).not.toEqual([]);
    // The last firing gave no figures; the one before it has its curve.
    await page.keyboard.press('ArrowLeft');
    await page.waitForSelector('.plot canvas');
    // What came with later versions can be used with it: it is written anew as the present version.
    await bench.open('job');
    expect(await page.inputValue('[data-field=complaint]')).toBe('Slow speeds drag');
    await page.fill('[data-field=complaint]', 'Slow speeds drag, seen anew');
    await page.press('[data-field=complaint]', 'Tab');
    await expect
      .poll(async () => (await keptData(page)).jobs[0]!.value.data.complaint)
      .toBe('Slow speeds drag, seen anew');
    await openData(page);
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.click('[data-action=export-everything]'),
    ]);
    expect((await readJobFile(await blobOf(download))).counts).toMatchObject({ jobs: 1, firings: 2 });
    expect(browser.complaints).toEqual([]);
  });
});

describe('the reminder', () => {
  it('stands on Start when the last file is old, leads to the file, and goes when it is saved', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    const bench = new BenchPage(page, origin);
    await bench.newJob({ customer: 'Customer of a Test' });
    await bench.open('start');
    expect(await page.locator('[data-reminder=due]').count()).toBe(0);
    // Three weeks later.
    await page.clock.setFixedTime(Date.now() + 21 * 86_400_000);
    await page.reload();
    await page.waitForSelector('[data-reminder=due]');
    expect(await page.textContent('[data-reminder=due]')).toContain('never saved in a file');
    await page.click('[data-action=back-up]');
    await page.waitForSelector('[data-settings=data]');
    await Promise.all([page.waitForEvent('download'), page.click('[data-action=export-everything]')]);
    await page.waitForSelector('[data-reminder="not due"]');
    await page.reload();
    await bench.open('start');
    await page.waitForSelector('[data-action=new-job]');
    expect(await page.locator('[data-reminder=due]').count()).toBe(0);
    expect(browser.complaints).toEqual([]);
  });
});

describe('the folder', () => {
  it('gets a copy of each finished job, and after a reload is asked for again with a sentence', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    // A headless browser has no chooser. The folder is a real handle, of the browser's own file system; that it
    // wants to be asked again after a reload is what such a handle does not do by itself.
    await page.addInitScript(() => {
      let allowed = sessionStorage.getItem('reloaded') === null;
      Object.assign(window, {
        showDirectoryPicker: async () =>
          (await navigator.storage.getDirectory()).getDirectoryHandle('copies', { create: true }),
      });
      const handles = FileSystemHandle.prototype as unknown as Record<string, () => Promise<string>>;
      handles.queryPermission = async () => (allowed ? 'granted' : 'prompt');
      handles.requestPermission = async () => {
        allowed = true;
        return 'granted';
      };
    });
    const copies = () =>
      page.evaluate(async () => {
        const root = await navigator.storage.getDirectory();
        const folder = await root.getDirectoryHandle('copies', { create: true });
        const found: { name: string; bytes: number[] }[] = [];
        for await (const [name, handle] of folder.entries()) {
          const file = await (handle as FileSystemFileHandle).getFile();
          found.push({ name, bytes: [...new Uint8Array(await file.arrayBuffer())] });
        }
        return found;
      });
    const finish = async (description: string) => {
      const bench = new BenchPage(page, origin);
      await bench.newJob({ description });
      await page.click('[data-choice=finished]');
    };

    await page.goto(`${origin}/#settings`);
    await openData(page);
    await page.click('[data-action=choose-folder]');
    await page.waitForSelector('[data-folder=writes]');
    await finish('First camera of a test');
    await expect
      .poll(async () => (await copies()).map(({ name }) => name))
      .toEqual(['job-0001-First-camera-of-a-test.leafclock']);
    const [copy] = await copies();
    const file = await readJobFile(new Blob([Uint8Array.from(copy!.bytes)]));
    expect(file.jobs).toMatchObject([{ number: '0001', state: 'finished' }]);

    await page.evaluate(() => sessionStorage.setItem('reloaded', 'yes'));
    await page.reload();
    await finish('Second camera of a test');
    await expect.poll(() => page.textContent('.notices')).toContain('the browser wants to be asked again');
    expect(await copies()).toHaveLength(1);
    await openData(page);
    await page.waitForSelector('[data-folder=asks]');
    expect(await page.textContent('[data-card=folder]')).toContain('1 finished job waits');
    await page.click('[data-action=ask-folder]');
    await expect.poll(async () => (await copies()).length).toBe(2);
    await page.waitForSelector('[data-folder=writes] [data-waiting="0"]');
    await page.click('[data-action=forget-folder]');
    await page.waitForSelector('[data-folder=none]');
    expect(browser.complaints).toEqual([]);
  });
});
