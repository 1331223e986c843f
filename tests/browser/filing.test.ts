/** A firing belongs to one job, one stage and one mark: what must not go wrong about that. */
import { afterEach, expect, it } from 'vitest';
import type { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('files by what was so at first light, moves the firing that was meant, and opens a job in one tab only', async () => {
  const set = await setUpBench(91);
  rig = set.rig;
  const { board, browser, bench, origin } = set;
  const { page } = browser;

  // Mark and stage are changed while the shutter is open: the firing stays where it began.
  await board.setDial('1');
  await bench.setMark('1');
  await bench.waitForArmed();
  const before = await bench.shownId();
  const slow = board.fire();
  await page.waitForSelector('[data-eye=open]');
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('s');
  await bench.waitForRecorded(before);
  await slow;
  const [first] = await bench.kept();
  expect(first).toMatchObject({ mark: '1', stage: 'as found' });
  // The open level of as found was not taken over: the next stage has another set-up.
  await board.setDial('1/500');
  await bench.setMark('1/500');
  const fast = await bench.fire(board);
  expect((await bench.kept()).find((k) => k.id === fast.id)).toMatchObject({
    stage: 'trials',
    reference: null,
  });

  // The chooser is open for one firing when the next one comes.
  await page.keyboard.press('m');
  await page.waitForSelector('[data-panel=move]');
  await bench.waitForArmed();
  const second = await bench.fire(board);
  await page.click('[data-panel=move] button:has-text("1/250")');
  await expect.poll(async () => (await bench.kept()).find((k) => k.id === fast.id)?.mark).toBe('1/250');
  expect((await bench.kept()).find((k) => k.id === second.id)?.mark).toBe('1/500');

  // The same job in a second tab is refused with a sentence.
  const other = await browser.context.newPage();
  await other.goto(`${origin}/#bench`);
  await expect.poll(() => other.textContent('.notices')).toContain('is open in another tab');
  // The bench is loaded after the page; until then its place is empty.
  await expect.poll(() => other.textContent('main')).toContain('No job is open');
  await other.close();

  // What is being typed survives a firing.
  await bench.open('job');
  await page.locator('[data-field=complaint]').pressSequentially('sticks in the co');
  await board.fire();
  await expect.poll(async () => (await bench.kept()).length).toBe(4);
  await page.locator('[data-field=complaint]').pressSequentially('ld');
  expect(await page.inputValue('[data-field=complaint]')).toBe('sticks in the cold');
  await page.press('[data-field=complaint]', 'Tab');
  await page.reload();
  await expect.poll(() => page.inputValue('[data-field=complaint]')).toBe('sticks in the cold');
  expect(browser.complaints).toEqual([]);
});

it('files no practice firing in a real job', async () => {
  const set = await setUpBench(92);
  rig = set.rig;
  const { bench, browser } = set;
  const { page } = browser;
  await bench.open('start');
  await page.click('text=Disconnect');
  await page.click('[data-action=practice]');
  await bench.waitForBoard('live');
  // The practice bench has opened an invented job beside the real one.
  expect(await page.textContent('.top')).toContain('invented');
  await bench.open('start');
  await page.click('[aria-label="Open job 0001"]');
  await expect.poll(() => page.textContent('.top')).not.toContain('invented');
  await bench.open('bench');
  // Said before the first firing, and with it.
  expect(await page.textContent('[data-warning=practice]')).toContain('shown, not filed');
  await bench.waitForArmed();
  await page.keyboard.press('Space');
  await page.waitForSelector('[data-kept="not filed"]');
  expect(await page.textContent('.notices')).toContain('not filed in a real job');
  expect(await bench.kept()).toHaveLength(0);
  expect(await new BenchPage(page, set.origin).table().then((t) => t.get('1')?.n)).not.toBe('1');
});
