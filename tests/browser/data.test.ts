/** Jobs out of the browser into a file and back: nothing is lost on the way, and nothing bad gets in. */
import fs from 'node:fs';
import path from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { setUpPractice } from './bench-rig.ts';
import { keptData } from './kept-data.ts';

const rig = new Rig();
const noted = { workshop: 'Workshop of a Test (invented)', address: 'Test Lane 1' };
let origin: string;
let source: Browser;
let bench: BenchPage;
/** Everything, as the page saved it. */
let saved: Buffer;
let close: () => Promise<void>;

async function openData(page: Page): Promise<void> {
  await page.click('[data-screen=settings]');
  await page.click('[data-part=data]');
  await page.waitForSelector('[data-card=import]');
}

async function saveEverything(page: Page, directory: string): Promise<Buffer> {
  const [download] = await Promise.all([
    page.waitForEvent('download', { timeout: 60_000 }),
    page.click('[data-action=export-everything]'),
  ]);
  expect(download.suggestedFilename()).toMatch(/^leafclock-everything-\d{4}-\d{2}-\d{2}\.leafclock$/);
  const file = path.join(directory, download.suggestedFilename());
  await download.saveAs(file);
  return fs.readFileSync(file);
}

/** Hands the page a file, and waits until it has been looked through or refused. */
async function give(page: Page, buffer: Buffer, name = 'jobs.leafclock'): Promise<string> {
  await page.setInputFiles('[data-action=import]', { name, mimeType: 'application/octet-stream', buffer });
  await page.waitForSelector('[data-import=asking], [data-import=refused]', { timeout: 60_000 });
  return (await page.getAttribute('[data-card=import]', 'data-import'))!;
}

async function takeIn(page: Page): Promise<void> {
  await page.click('[data-action=take-in]');
  await page.waitForSelector('[data-import=done]', { timeout: 60_000 });
}

const counts = (page: Page, within: string) =>
  page.$$eval(`[${within}] [data-outcome]`, (items) =>
    Object.fromEntries(items.map(({ dataset }) => [dataset.outcome, Number(dataset.count)])),
  ) as Promise<Record<string, number>>;

const linesOf = (file: Buffer) => gunzipSync(file).toString().trimEnd().split('\n');
const fileOf = (lines: readonly string[]) => gzipSync(`${lines.join('\n')}\n`);

/** The saved job so many times, each with ids and a number of its own. */
function manyJobs(copies: number): Buffer {
  const [header, ...rest] = linesOf(saved);
  const own = rest.filter((line) => /^\{"kind":"(job|firing|picture)"/.test(line));
  const ids = [
    ...new Set(own.map((line) => (JSON.parse(line) as { record: { data: { id: string } } }).record.data.id)),
  ];
  const all = Array.from({ length: copies }, (_, copy) =>
    own.map((line) => {
      let renamed = line;
      for (const id of ids) renamed = renamed.replaceAll(id, `${id}-${copy}`);
      return renamed.replace(/"number":"(\d+)"/, `"number":"9${String(copy).padStart(3, '0')}"`);
    }),
  ).flat();
  const end = JSON.parse(rest.at(-1)!) as { kind: string; counts: Record<string, number> };
  const scaled = Object.fromEntries(
    Object.entries(end.counts).map(([key, n]) => [key, key === 'settings' ? 0 : n * copies]),
  );
  const head = JSON.stringify({ ...JSON.parse(header!), contents: 'jobs' });
  return fileOf([head, ...all, JSON.stringify({ ...end, counts: scaled })]);
}

/** Jobs that are there, with the firings and samples that each of them has. */
async function jobsKept(page: Page) {
  const { jobs, firings, samples } = await keptData(page);
  return jobs.map(({ key }) => {
    const own = firings.filter(({ value }) => value.jobId === key);
    const whole = own.filter(({ key: id, value }) =>
      samples.some((one) => one.key === id && one.value.length === value.data.firing.sampleCount),
    );
    return { id: key, firings: own.length, whole: whole.length };
  });
}

beforeAll(async () => {
  const set = await setUpPractice();
  source = set.browser;
  bench = set.bench;
  origin = set.origin;
  close = () => set.rig.close();
  const { page } = source;
  for (const mark of ['1/60', '1/250']) {
    await bench.setPracticeDial(mark);
    await bench.firePractice(3);
  }
  await bench.open('settings');
  for (const [field, text] of Object.entries(noted)) {
    await page.fill(`[data-field=${field}]`, text);
    await page.press(`[data-field=${field}]`, 'Tab');
  }
  await page.selectOption('[data-field=paper-dates]', 'year-month-day');
  await openData(page);
  saved = await saveEverything(page, rig.directory);
});

afterAll(async () => {
  await close();
  await rig.close();
});

describe('a file of everything', () => {
  it('brings the same job, settings and curves into a fresh browser, and twice changes nothing', async () => {
    const before = await keptData(source.page);
    await bench.open('bench');
    const table = await bench.table();

    const fresh = await rig.launch(origin);
    const there = new BenchPage(fresh.page, origin);
    await there.open('start');
    await openData(fresh.page);
    expect(await give(fresh.page, saved)).toBe('asking');
    expect(await counts(fresh.page, 'data-preview')).toEqual({ added: 1 });
    expect(await fresh.page.getAttribute('[data-workshop]', 'data-workshop')).toBe('added');
    expect((await keptData(fresh.page)).jobs).toEqual([]);
    await takeIn(fresh.page);
    expect(await counts(fresh.page, 'data-report')).toEqual({ added: 1 });

    const after = await keptData(fresh.page);
    for (const store of ['jobs', 'firings', 'samples', 'pictures'] as const)
      expect(after[store], store).toEqual(before[store]);
    expect(after.firings).toHaveLength(6);
    const setting = (data: typeof before, name: string) =>
      data.settings.find(({ key }) => key === name)!.value.data;
    for (const name of ['workshop', 'preferences'])
      expect(setting(after, name), name).toEqual(setting(before, name));

    // On show without a reload, and worked out to the same figures from the same curves.
    await fresh.page.click('[data-part=workshop]');
    expect(await fresh.page.inputValue('[data-field=workshop]')).toBe(noted.workshop);
    await there.open('start');
    await fresh.page.click('[aria-label="Open job 0001"]');
    await there.open('bench');
    await expect.poll(() => there.table()).toEqual(table);
    await fresh.page.waitForSelector('.plot canvas');

    await openData(fresh.page);
    expect(await give(fresh.page, saved)).toBe('asking');
    expect(await counts(fresh.page, 'data-preview')).toEqual({ same: 1 });
    expect(await fresh.page.textContent('[data-preview]')).toContain('Nothing in the file is new');
    await fresh.page.click('[data-action=leave]');
    const still = await keptData(fresh.page);
    expect({ ...still, settings: [] }).toEqual({ ...after, settings: [] });
    expect(fresh.complaints).toEqual([]);
    await fresh.close();
  });

  it('asks what to do where a job differs, and takes a replacement back', async () => {
    const { page } = source;
    await bench.open('job');
    await page.fill('[data-field=complaint]', 'Changed after the file was saved');
    await page.press('[data-field=complaint]', 'Tab');
    const complaint = async () => (await keptData(page)).jobs[0]!.value.data.complaint as string;
    await expect.poll(complaint).toBe('Changed after the file was saved');

    await openData(page);
    expect(await give(page, saved)).toBe('asking');
    expect(await counts(page, 'data-preview')).toEqual({ kept: 1 });
    await takeIn(page);
    expect(await counts(page, 'data-report')).toEqual({ kept: 1 });
    expect(await complaint()).toBe('Changed after the file was saved');

    expect(await give(page, saved)).toBe('asking');
    await page.check('[data-choice=replace]');
    await takeIn(page);
    expect(await counts(page, 'data-report')).toEqual({ replaced: 1 });
    expect(await complaint()).toMatch(/^Slow speeds drag/);
    // The open job is the one from the file now, with all its firings.
    await bench.open('job');
    await expect.poll(() => page.inputValue('[data-field=complaint]')).toMatch(/^Slow speeds drag/);
    await bench.open('settings');
    await page.click('[data-action=undo]');
    await expect.poll(complaint).toBe('Changed after the file was saved');
    expect((await jobsKept(page))[0]).toMatchObject({ firings: 6, whole: 6 });
    expect(source.complaints).toEqual([]);
  });
});

describe('a file that can’t be read in', () => {
  const damage = (line: number, from: string | RegExp, to: string) => {
    const lines = linesOf(saved);
    const changed = lines[line]!.replace(from, to);
    expect(changed).not.toBe(lines[line]);
    return fileOf(lines.with(line, changed));
  };
  const cases: readonly (readonly [string, () => Buffer, RegExp])[] = [
    ['foreign: a text', () => Buffer.from('Dear customer,\n'), /no file of Leafclock jobs/],
    ['foreign: a PDF', () => Buffer.from('%PDF-1.7 invented'), /no file of Leafclock jobs, but a PDF/],
    [
      'foreign: something else that is packed',
      () => gzipSync('not ours\n'),
      /no file of Leafclock jobs|not|foreign/,
    ],
    ['empty', () => Buffer.alloc(0), /empty/],
    ['newer', () => damage(0, /"version":\d+/, '"version":99'), /newer/],
    ['with a newer record', () => damage(1, /"version":\d+/, '"version":99'), /version 99/],
    ['damaged in a figure', () => damage(2, /"ordinal":\d+/, '"ordinal":"first"'), /damaged at line 3/],
    [
      'damaged in its bytes',
      () => {
        const bytes = Buffer.from(saved);
        for (let i = 0; i < 40; i++) bytes[Math.floor(bytes.length / 2) + i]! ^= 0xff;
        return bytes;
      },
      /damaged/,
    ],
    ['cut off', () => saved.subarray(0, Math.floor(saved.length * 0.6)), /cut off|breaks off|damaged/],
    ['without its last line', () => fileOf(linesOf(saved).slice(0, -1)), /cut off/],
  ];

  it('says why, and changes nothing', async () => {
    const { page } = source;
    await openData(page);
    const before = await keptData(page);
    for (const [what, file, reason] of cases) {
      expect(await give(page, file()), what).toBe('refused');
      const words = (await page.textContent('[data-refused]')) ?? '';
      expect(words, what).toMatch(reason);
      expect(words, what).toMatch(/^jobs\.leafclock was not read in\. .+\.$/);
    }
    expect(await keptData(page)).toEqual(before);
    expect(source.complaints).toEqual([]);
  });
});

describe('an import that is broken off', () => {
  const COPIES = 40;

  /** The browser's successor, on the same profile, and the jobs that it finds. */
  async function killedWhileReadingIn() {
    const browser = await rig.launch(origin);
    await browser.page.goto(`${origin}/#settings`);
    await openData(browser.page);
    expect(await give(browser.page, manyJobs(COPIES))).toBe('asking');
    await browser.page.click('[data-action=take-in]');
    await browser.page.waitForFunction(
      () => (document.querySelector<HTMLProgressElement>('[data-import=writing] progress')?.value ?? 0) > 0.1,
    );
    await browser.kill();
    const again = await rig.launch(origin, { profile: browser.profile });
    await again.page.goto(`${origin}/#settings`);
    await openData(again.page);
    return { again, left: await jobsKept(again.page) };
  }

  it('leaves whole jobs only when the browser is killed, and goes on with the same file', async () => {
    // A kill that came when all was written shows nothing: then once more, in a fresh profile.
    let { again, left } = await killedWhileReadingIn();
    for (let more = 0; left.length === COPIES && more < 3; more++) {
      await again.close();
      ({ again, left } = await killedWhileReadingIn());
    }
    expect(left.length).toBeGreaterThan(0);
    expect(left.length, 'it was killed too late').toBeLessThan(COPIES);
    for (const job of left) expect(job).toMatchObject({ firings: 6, whole: 6 });

    expect(await give(again.page, manyJobs(COPIES))).toBe('asking');
    expect(await counts(again.page, 'data-preview')).toEqual({
      added: COPIES - left.length,
      same: left.length,
    });
    await takeIn(again.page);
    const whole = await jobsKept(again.page);
    expect(whole).toHaveLength(COPIES);
    for (const job of whole) expect(job).toMatchObject({ firings: 6, whole: 6 });
    expect(again.complaints).toEqual([]);
    await again.close();
  });

  it('stops where the user stops it', async () => {
    const browser = await rig.launch(origin);
    const { page } = browser;
    await page.goto(`${origin}/#settings`);
    await openData(page);
    expect(await give(page, manyJobs(COPIES))).toBe('asking');
    await page.click('[data-action=take-in]');
    await page.click('[data-action=stop]');
    await page.waitForSelector('[data-import=done]');
    expect(await page.textContent('[data-report]')).toContain('you stopped it');
    const kept = await jobsKept(page);
    expect(kept.length).toBeLessThan(COPIES);
    for (const job of kept) expect(job).toMatchObject({ firings: 6, whole: 6 });
    await browser.close();
  });
});
