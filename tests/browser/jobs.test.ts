/** The list of jobs, and what a job holds besides its readings, in the built page. */
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

async function setUpPage() {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const bench = new BenchPage(browser.page, origin);
  await bench.open('jobs');
  return { browser, bench, page: browser.page };
}

/** Numbers of the jobs on the list, from the top. */
const listed = (page: Page) =>
  page.$$eval('[data-table=jobs] tbody tr', (rows) => rows.map((row) => (row as HTMLElement).dataset.job));

/** Keys of a store, read past the page. */
const keysIn = (page: Page, store: string) =>
  page.evaluate(async (name) => {
    const database = await new Promise<IDBDatabase>((resolve, reject) => {
      const request = indexedDB.open('leafclock');
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    const keys = await new Promise<IDBValidKey[]>((resolve, reject) => {
      const request = database.transaction(name).objectStore(name).getAllKeys();
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    database.close();
    return keys.map(String);
  }, store);

it('finds jobs by whatever is known of them, by state and by date, with the keyboard alone', async () => {
  const { bench, browser, page } = await setUpPage();
  await page.waitForSelector('[data-empty]');
  expect(await page.textContent('[data-empty]')).toContain('No camera has come in yet');
  await bench.newJob({ customer: 'Zoë Quill', description: 'Marten twin-lens', bodySerial: 'M-204 17' });
  await bench.newJob({ customer: 'T. Fernhill', description: 'Kestrel folder', complaint: 'drags at 1/8' });
  await bench.newJob({ customer: 'B. Orchard', description: 'Hollowell', shutterSerial: 'SH 5' });
  await bench.open('jobs');
  expect(await listed(page)).toEqual(['0003', '0002', '0001']);
  expect(await page.textContent('[data-figure=found]')).toBe('3 jobs');

  const find = async (words: string) => {
    await page.fill('[data-field=find-job]', words);
    return listed(page);
  };
  expect(await find('zoe')).toEqual(['0001']);
  expect(await find('m20417')).toEqual(['0001']);
  expect(await find('DRAGS kestrel')).toEqual(['0002']);
  expect(await find('0003')).toEqual(['0003']);
  expect(await find('sh5')).toEqual(['0003']);
  expect(await page.textContent('[data-figure=found]')).toBe('1 of 3 jobs');
  expect(await find('no such thing')).toEqual([]);
  expect(await page.textContent('[data-empty]')).toContain('no such thing');

  // By keyboard: from the search into the list, down one line, open.
  await find('');
  await page.press('[data-field=find-job]', 'ArrowDown');
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('Enter');
  await expect.poll(() => page.textContent('.top')).toContain('0002');
  await page.waitForSelector('[data-state=received]');

  // Its state is changed: the list follows, and the dates beside it.
  await page.click('[data-choice="waiting for parts"]');
  await page.waitForSelector('[data-state="waiting for parts"]');
  await page.click('[data-choice="on the bench"]');
  await page.waitForSelector('[data-state="on the bench"]');
  expect(await page.textContent('.state-line summary')).toContain('3 states so far');
  await bench.open('jobs');
  await page.selectOption('[data-field=shelf]', 'on the bench');
  expect(await listed(page)).toEqual(['0002']);
  await page.selectOption('[data-field=shelf]', 'waiting for parts');
  expect(await listed(page)).toEqual([]);
  await page.selectOption('[data-field=shelf]', 'all');
  await page.click('[data-action=sort-since]');
  expect((await listed(page))[0]).toBe('0002');
  await page.click('[data-action=sort-since]');
  expect((await listed(page)).at(-1)).toBe('0002');
  expect(await page.getAttribute('th:has([data-action=sort-since])', 'aria-sort')).toBe('ascending');
  expect(await page.textContent('[data-job="0002"]')).toContain('on the bench');

  // Undone, the state before is there again; what was chosen on the list is still chosen.
  await page.click('[data-action=undo]');
  await expect.poll(() => page.textContent('[data-job="0002"]')).toContain('waiting for parts');
  await page.reload();
  await expect.poll(() => listed(page)).toEqual(['0003', '0002', '0001']);
  expect(await page.textContent('[data-job="0002"]')).toContain('waiting for parts');
  expect(browser.complaints).toEqual([]);
});

it('takes a job off the list and brings it back, and erases it only then and for good', async () => {
  const { bench, browser, page } = await setUpPage();
  await bench.newJob({ customer: 'Stays', description: 'Marten' });
  await bench.newJob({ customer: 'Goes', description: 'Kestrel' });

  await page.click('[data-action=remove-job]');
  await expect.poll(() => listed(page)).toEqual(['0001']);
  expect(await page.textContent('.top')).toContain('no job open');
  await page.click('[data-action=undo]');
  await expect.poll(() => listed(page)).toEqual(['0002', '0001']);
  await expect.poll(() => page.textContent('.top')).toContain('0002');
  expect(await page.inputValue('[data-field=find-job]')).toBe('');

  // Off the list again: it stays off after a reload, and is found behind the filter.
  await bench.open('job');
  await page.click('[data-action=remove-job]');
  await expect.poll(() => listed(page)).toEqual(['0001']);
  await page.reload();
  await expect.poll(() => listed(page)).toEqual(['0001']);
  expect(await page.textContent('.top')).toContain('no job open');
  await page.selectOption('[data-field=shelf]', 'removed');
  expect(await listed(page)).toEqual(['0002']);
  await page.click('[data-action=bring-back]');
  await expect.poll(() => listed(page)).toEqual([]);
  await page.selectOption('[data-field=shelf]', 'all');
  expect(await listed(page)).toEqual(['0002', '0001']);

  // Erased for good only after a question.
  await page.click('[data-job="0002"]');
  await page.waitForSelector('[data-action=remove-job]');
  await page.fill('[data-field=new-note]', 'a note that goes with it');
  await page.click('[data-action=add-note]');
  await page.click('[data-action=remove-job]');
  await page.waitForSelector('[data-field=shelf]');
  await page.selectOption('[data-field=shelf]', 'removed');
  await page.click('[data-action=erase]');
  await page.click('text=Keep it');
  expect(await listed(page)).toEqual(['0002']);
  await page.click('[data-action=erase]');
  await page.click('[data-action=erase-for-good]');
  await expect.poll(() => listed(page)).toEqual([]);
  await expect.poll(async () => (await keysIn(page, 'jobs')).length).toBe(1);
  expect(await keysIn(page, 'summaries')).toEqual(await keysIn(page, 'jobs'));
  expect(await page.isVisible('[data-action=undo]')).toBe(false);
  // Its number is not given out again.
  await bench.newJob({ customer: 'Next' });
  expect(await page.inputValue('[data-field=number]')).toBe('0003');
  await page.fill('[data-field=number]', '0001');
  await page.press('[data-field=number]', 'Tab');
  expect(await page.textContent('[data-part=camera]')).toContain('There is a job 0001 already');
  expect(browser.complaints).toEqual([]);
});

it('tells of a camera that was here before how its speeds have changed, and nothing of its former customer', async () => {
  const set = await setUpBench(431);
  rig = set.rig;
  const { bench, board, browser } = set;
  const { page } = browser;
  // The first job, read as left at 1/125 with a sound shutter.
  await bench.open('job');
  await bench.fill({
    customer: 'Former Owner',
    contact: 'Former Lane 1',
    complaint: 'former complaint',
    bodySerial: 'KW-20 417',
  });
  await page.selectOption('[aria-label="How it stands as left"] select >> nth=0', 'in the body');
  await bench.open('bench');
  await bench.setStage('as left');
  const fireThree = async (dial: string) => {
    await board.setDial(dial);
    await bench.setMark('1/125');
    const times: number[] = [];
    for (let i = 0; i < 3; i++) times.push((await bench.fire(board)).truth.effectiveTime);
    return times.reduce((sum, time) => sum + Math.log2(time), 0) / times.length;
  };
  const before = await fireThree('1/125');

  // It comes back a stop slow, for somebody else.
  await bench.open('job');
  await page.click('[data-action=returning-job]');
  await expect.poll(() => page.textContent('.top')).toContain('0002');
  expect(await page.inputValue('[data-field=bodySerial]')).toBe('KW-20 417');
  expect(await page.inputValue('[data-field=customer]')).toBe('');
  const card = '[data-card=returning]';
  await page.waitForSelector(`${card} >> text=will stand beside`);
  expect(await page.textContent(card)).toContain('Job 0001');
  for (const screen of ['job', 'camera', 'certificate', 'results'] as const) {
    await bench.open(screen);
    await page.waitForSelector('main :is(h1, h2)');
    const values = await page.$$eval('input, textarea', (all) =>
      all.map((field) => (field as HTMLInputElement).value).join('\n'),
    );
    expect(`${await page.textContent('body')}\n${values}`, screen).not.toMatch(/former/i);
  }
  await bench.open('bench');
  expect(await page.textContent('[aria-label=Stage] [aria-pressed=true]')).toBe('as found');
  const after = await fireThree('1/60');

  await bench.open('job');
  const row = `${card} [data-table="since-as found"] [data-mark="1/125"]`;
  await page.waitForSelector(row);
  const change = (await page.textContent(`${row} [data-cell=change]`)) ?? '';
  const shown = Number(/^[+−]\d+\.\d+/.exec(change)?.[0].replace('−', '-'));
  expect(Math.abs(shown - (after - before)), change).toBeLessThan(0.02);
  expect(await page.textContent(`${row} [data-cell=words]`)).toBe('slower');
  expect(await page.textContent(`${card} [data-unlike]`)).toContain('in the body');

  // Written with other spaces and signs it is the same camera; a number of its own makes it another.
  await bench.fill({ bodySerial: 'kw 20417' });
  expect(await page.isVisible(card)).toBe(true);
  await bench.fill({ bodySerial: 'KW-20418' });
  await expect.poll(() => page.isVisible(card)).toBe(false);
  expect(browser.complaints).toEqual([]);
});

it('opens a job at the speed of its programme and keeps a programme changed for the job', async () => {
  const { bench, browser, page } = await setUpPage();
  await bench.newJob({ description: 'Marten' });
  await page.selectOption('[data-field=programme]', 'quick look');
  await page.click('[aria-label=Programme] summary');
  const steps = '[data-list=programme] li';
  expect(await page.locator(steps).count()).toBe(10);
  await page.fill(`${steps}:first-child input`, '0');
  await page.press(`${steps}:first-child input`, 'Tab');
  expect(await page.textContent('[aria-label=Programme] .trouble')).toContain('from 1 to 100');
  await page.fill(`${steps}:first-child input`, '2');
  await page.press(`${steps}:first-child input`, 'Tab');
  await page.click('[aria-label="Leave out step 2"]');
  expect(await page.textContent('[aria-label=Programme] summary')).toBe('9 steps, 10 firings');
  await page.reload();
  await expect.poll(() => page.inputValue('[data-field=programme]')).toBe('own');
  expect(await page.textContent('[aria-label=Programme] summary')).toBe('9 steps, 10 firings');
  await page.fill('[data-field=flash-duration]', '0');
  await page.press('[data-field=flash-duration]', 'Tab');
  expect(await page.textContent('[data-part=speeds] .trouble')).toContain('duration of the flash');
  expect(browser.complaints).toEqual([]);
});
