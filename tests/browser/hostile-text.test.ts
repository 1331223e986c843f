/** Words of a board or a file stay words: on every screen and on paper. */
import fs from 'node:fs';
import { afterEach, expect, it } from 'vitest';
import type { Screen } from '../../app/screens/view.ts';
import { flowingText } from '../certificate/pdf-tools.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { BOARD, SERIAL, speakAsHostileBoard } from './hostile-board.ts';
import { hostileFile, MARKUP, SCRIPTED_DRAWING } from './hostile-file.ts';
import { NOTHING_STRANGE, strangeThings, watch } from './watched-page.ts';

let rig: Rig | null = null;
let endBoard: () => void = () => {};
afterEach(async () => {
  endBoard();
  await rig?.close();
});

const SCREENS: readonly Screen[] = [
  'start',
  'jobs',
  'job',
  'checks',
  'bench',
  'results',
  'camera',
  'certificate',
  'settings',
];
const SETTINGS = ['workshop', 'new-jobs', 'lists', 'sound', 'boards', 'data'];

async function setUp() {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  await watch(browser);
  return { rig, origin, browser, page: browser.page, bench: new BenchPage(browser.page, origin) };
}

/** All the words of the page, those in its fields as well. */
const words = (bench: BenchPage) =>
  bench.page.evaluate(() =>
    [
      document.body.textContent,
      ...[...document.querySelectorAll('input, textarea')].map((field) => (field as HTMLInputElement).value),
    ].join('\n'),
  );

it('the witness works: markup that is let in by force is seen', async () => {
  const { rig, page, bench } = await setUp();
  rig.mayGoElsewhere = true; // it tries, and the policy forbids it
  await bench.open('start');
  expect(await strangeThings(page)).toEqual(NOTHING_STRANGE);
  // Even so the browser lets no text become markup or an address of a script (Trusted Types).
  const refused = await page.evaluate(() => {
    const attempts = [
      () => {
        document.body.innerHTML = '<img src=x onerror=hit()>';
      },
      () => document.body.insertAdjacentHTML('beforeend', '<b>x</b>'),
      () => document.createElement('img').setAttribute('onerror', 'hit()'),
      () => new Worker('data:text/javascript,1'),
      () => new Worker('https://example.org/worker.js'),
    ];
    return attempts.map((attempt) => {
      try {
        attempt();
        return 'done';
      } catch (error) {
        return (error as Error).name;
      }
    });
  });
  expect(refused).toEqual(Array(5).fill('TypeError'));
  await page.evaluate(() => {
    const picture = document.createElement('img');
    picture.src = 'https://example.org/x.png';
    document.body.append(picture);
  });
  const seen = async () => (await strangeThings(page)).violations.join(' ');
  await expect.poll(seen, { timeout: 20_000 }).toContain('img-src https://example.org/x.png');
  const { odd, hits } = await strangeThings(page);
  expect(odd).toHaveLength(1);
  expect(hits).toBe(0);
});

it('a hostile file is shown and printed as the text it is', async () => {
  const { browser, page, bench } = await setUp();
  const { file, turned } = await hostileFile();
  expect(turned).toBeGreaterThan(40);
  await bench.open('settings');
  await page.click('[data-part=data]');
  await page.setInputFiles('[data-action=import]', {
    name: `${MARKUP.replaceAll('/', '')}.leafclock`,
    mimeType: 'text/html',
    buffer: file,
  });
  await page.waitForSelector('[data-import=asking]');
  expect(await strangeThings(page)).toEqual(NOTHING_STRANGE);
  await page.click('[data-action=take-in]');
  await page.waitForSelector('[data-import=done]');
  await page.click('[data-screen=jobs]');
  await page.focus('tbody tr > th button');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.which')?.textContent?.includes('hit()'));

  for (const screen of SCREENS) {
    await page.click(`[data-screen=${screen}]`);
    await page.waitForSelector('main');
    await expect.poll(() => words(bench), { timeout: 20_000 }).toContain('<img src=x onerror=hit()>');
    if (screen === 'settings') {
      for (const part of SETTINGS) {
        await page.click(`[data-part=${part}]`);
        expect(await strangeThings(page), part).toEqual(NOTHING_STRANGE);
      }
    }
    if (screen === 'bench') await page.keyboard.press('v');
    await page.keyboard.press('?');
    expect(await strangeThings(page), screen).toEqual(NOTHING_STRANGE);
    await page.keyboard.press('?');
  }

  const pdf = fs.readFileSync(await (await bench.savePdf()).path());
  expect(flowingText(pdf).replace(/\s/g, '')).toContain('<imgsrc=xonerror=hit()>');
  expect(pdf.toString('latin1')).not.toMatch(/\/(JavaScript|JS|Launch|URI|SubmitForm|OpenAction|AA)\b/);
  expect(await strangeThings(page)).toEqual(NOTHING_STRANGE);
  expect(browser.complaints).toEqual([]);
});

it('a drawing with a script in it is no picture and no logo', async () => {
  const { page, bench } = await setUp();
  await bench.newJob({ customer: MARKUP });
  const drawing = {
    name: '<img src=x onerror=hit()>.svg',
    mimeType: 'image/svg+xml',
    buffer: Buffer.from(SCRIPTED_DRAWING),
  };
  await page.setInputFiles('[data-action=choose-pictures]', drawing);
  await page.waitForSelector('.notice, [data-picture]');
  expect(await strangeThings(page)).toEqual(NOTHING_STRANGE);
  await bench.open('settings');
  await page.click('[data-part=workshop]');
  await page.setInputFiles('[data-action=logo]', drawing);
  await expect
    .poll(() => words(bench), { timeout: 20_000 })
    .toMatch(/can’t be read as a picture|onerror=hit/);
  expect(await strangeThings(page)).toEqual(NOTHING_STRANGE);
});

it('a board that calls itself markup is shown by that name', async () => {
  const set = await setUp();
  const { page, bench } = set;
  const port = await set.rig.plugPort();
  endBoard = speakAsHostileBoard(port.line);
  await bench.newJob({ customer: 'Customer of a Test' });
  await bench.connectBoard();
  for (const screen of SCREENS) {
    await page.click(`[data-screen=${screen}]`);
    await page.waitForSelector('main');
    if (screen === 'settings') await page.click('[data-part=boards]');
    expect(await strangeThings(page), screen).toEqual(NOTHING_STRANGE);
  }
  const text = await words(bench);
  expect(text).toContain(BOARD);
  expect(text).toContain(SERIAL);
});
