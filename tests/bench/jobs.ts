/**
 * How quick a full record is: 1,000 jobs with 200 firings each, samples in a tenth of them, in real Chromium. The
 * record's own code is timed beside bare reads of the same stores, taken in turns; then the built page, from a
 * click or a key to the paint, beside the same on an empty page.
 */
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { build } from 'vite';
import { Rig } from '../rig/rig.ts';
import { builtPage } from './built-page.ts';
import type { Figure } from './figure.ts';
import type { Amounts, inPage } from './jobs-in-page.ts';
import { median, percentile, rounded } from './rounds.ts';

type InPage = typeof inPage;

const AMOUNTS: Amounts = { jobs: 1000, firings: 200, samplesEvery: 10 };
const LISTS = 15;
const JOBS = 25;
const CLICKS = 10;
const KEYS = 100;
/** Milliseconds; a quick typist's. */
const BETWEEN_KEYS = 60;
/** What is felt as at once (Nielsen, Usability Engineering, 1993; from memory). */
const AT_ONCE = 100;

export async function measureJobs(): Promise<readonly Figure[]> {
  const rig = new Rig();
  try {
    const folder = await builtPage();
    await addPageSide(folder);
    const { origin } = await rig.servePage(folder);
    const { page } = await rig.launch(origin);
    await page.goto(`${origin}/empty.html`);
    await run(page, 'fill', AMOUNTS);
    const first = await run(page, 'timeFirstList');
    const lists = await run(page, 'timeLists', LISTS);
    const jobs = await run(page, 'timeJobs', JOBS, AMOUNTS);
    const emptyKeys = await typeIn(page, 'textarea');
    const painted = await measurePage(page, origin);
    return [
      figure('list of 1,000 jobs, read', lists.list, 200, [
        ['bare read of the summaries', lists.summaries],
        ['bare read of the jobs', lists.jobs],
      ]),
      {
        quantity: 'list of 1,000 jobs, first after an upgrade',
        value: first,
        unit: 'ms',
        expectation: null,
        detail: 'once: every summary is drawn from its job and written',
      },
      figure('job of 200 firings, read', jobs.job, 500, [['bare read of its rows', jobs.rows]]),
      figure('click to list painted', painted.list, 200, []),
      figure('click to job painted', painted.job, 500, []),
      ...keyFigures('key in a field of a job to paint', painted.field, emptyKeys),
      ...keyFigures('key in the search of 1,000 jobs to paint', painted.search, emptyKeys),
    ];
  } finally {
    await rig.close();
  }
}

/** Puts the page's side of this bench, and an empty page to begin at, beside the built page. */
async function addPageSide(folder: string): Promise<void> {
  await build({
    configFile: false,
    logLevel: 'error',
    build: {
      outDir: folder,
      emptyOutDir: false,
      target: 'es2023',
      lib: {
        entry: path.join(import.meta.dirname, 'jobs-in-page.ts'),
        formats: ['es'],
        fileName: () => 'jobs-in-page.js',
      },
    },
  });
  const empty = '<!doctype html><html lang="en"><title>Empty</title><textarea></textarea></html>\n';
  writeFileSync(path.join(folder, 'empty.html'), empty);
}

/** Calls a function of jobs-in-page.ts in the page. */
async function run<Name extends keyof InPage>(
  page: Page,
  name: Name,
  ...parts: Parameters<InPage[Name]>
): Promise<Awaited<ReturnType<InPage[Name]>>> {
  return page.evaluate(
    async ([called, values]) => {
      const side = await import(new URL('/jobs-in-page.js', location.href).href);
      return side.inPage[called](...values);
    },
    [name, parts] as const,
  );
}

async function measurePage(page: Page, origin: string) {
  await page.goto(`${origin}/#start`);
  await page.waitForSelector('[data-screen=jobs]');
  const list: number[] = [];
  const job: number[] = [];
  for (let i = 0; i < CLICKS; i++) {
    list.push(await run(page, 'clickToPainted', '[data-screen=jobs]', '[data-table=jobs] tbody tr'));
    // The list begins with the job received last.
    job.push(await run(page, 'openToPainted', AMOUNTS.jobs - 1 - 3 * i));
  }
  const field = await typeIn(page, '[data-field=complaint]');
  await page.click('[data-screen=jobs]');
  const search = await typeIn(page, '[data-field=find-job]');
  return { list, job, field, search };
}

async function typeIn(page: Page, field: string): Promise<readonly number[]> {
  await page.click(field);
  await run(page, 'watchKeys');
  const words = 'kittiwake sticks at the slow speeds ';
  for (let i = 0; i < KEYS; i++) {
    await page.keyboard.type(words[i % words.length]!);
    await page.waitForTimeout(BETWEEN_KEYS);
  }
  return run(page, 'takeKeyTimes');
}

function figure(
  quantity: string,
  times: readonly number[],
  most: number,
  beside: readonly (readonly [what: string, times: readonly number[]])[],
): Figure {
  const value = median(times);
  const ratios = beside.map(
    ([what, others]) =>
      `${rounded(value / median(others))} × the ${what} (${rounded(median(others))} ms, best ${rounded(Math.min(...others))})`,
  );
  const ends = `best ${rounded(Math.min(...times))}, longest ${rounded(Math.max(...times))} ms`;
  const spread = `median of ${times.length}, first ${rounded(times[0]!)}, ${ends}`;
  return { quantity, value, unit: 'ms', expectation: { most }, detail: [spread, ...ratios].join('; ') };
}

function keyFigures(quantity: string, times: readonly number[], empty: readonly number[]): Figure[] {
  return [50, 99].map((percent) => {
    const value = percentile(times, percent);
    const beside = percentile(empty, percent);
    return {
      quantity: `${quantity}, ${percent === 50 ? 'median' : `p99 of ${times.length}`}`,
      value,
      unit: 'ms',
      expectation: { most: AT_ONCE },
      detail: `${rounded(value / beside)} × an empty page (${rounded(beside)} ms)`,
    };
  });
}
