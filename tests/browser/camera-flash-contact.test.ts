/** The flash contact and its lead, in the built page, through the practice bench. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BenchPage } from './bench-page.ts';
import { type BenchRig, setUpPractice } from './bench-rig.ts';
import { openSection, PRACTICE_CONTACT } from './camera-page.ts';

let rig: Omit<BenchRig, 'board'>;
let page: Page;
let bench: BenchPage;

beforeAll(async () => {
  rig = await setUpPractice();
  ({ bench } = rig);
  ({ page } = rig.browser);
});
afterAll(() => rig?.rig.close());

const lead = '[data-card=contact-lead]';
const word = (is: string) => page.waitForSelector(`${lead} [data-lead="${is}"]`, { timeout: 20_000 });

/** A busy machine may pass over a touch: then it is repeated, as a hand would. */
async function touchUntilClosed(): Promise<void> {
  for (let tries = 3; ; tries--) {
    await page.click('[data-control=touch]');
    const seen = page.waitForSelector(`${lead} [data-lead=closed]`, { timeout: 8000 });
    if (tries === 0 || (await seen.then(() => true).catch(() => false))) return void (await seen);
  }
}

/** Sets the practice shutter and the page to a mark, and fires on the camera's own screen. */
async function fire(mark: string, times = 1): Promise<void> {
  await page.selectOption('[data-field=flash-mark]', mark);
  await page.selectOption(`${PRACTICE_CONTACT} [data-control=dial]`, mark);
  for (let n = 0; n < times; n++) {
    const before = (await bench.kept()).length;
    await page.waitForSelector('[data-eye=armed]', { timeout: 20_000 });
    await page.click(`${PRACTICE_CONTACT} [data-control=fire]:not([disabled])`, { timeout: 20_000 });
    await expect.poll(async () => (await bench.kept()).length, { timeout: 20_000 }).toBe(before + 1);
  }
}

/** A line of the table of marks: its verdict and its cells. */
async function mark(label: string): Promise<Record<string, string>> {
  const row = `[data-table=flash] tr[data-mark="${label}"]`;
  await page.waitForSelector(row);
  return page.$eval(row, (line) => ({
    verdict: (line as HTMLElement).dataset.verdict ?? '',
    ...Object.fromEntries(
      [...line.querySelectorAll<HTMLElement>('[data-cell]')].map((cell) => [
        cell.dataset.cell ?? '',
        (cell.textContent ?? '').replace('−', '-'),
      ]),
    ),
  }));
}

const verdictAt = (label: string, verdict: string) =>
  page.waitForSelector(`[data-table=flash] tr[data-mark="${label}"][data-verdict="${verdict}"]`, {
    timeout: 20_000,
  });

describe('the contact', () => {
  it('is dead on the lead test while the lead is not plugged in, whatever the hand does', async () => {
    await bench.open('checks');
    await page.selectOption('[data-control=lead]', 'not plugged in');
    await page.click('[data-action=contact-lead]');
    await word('open');
    await page.click('[data-control=touch]');
    await word('dead');
    await page.click('[data-action=finish-contact-lead]');
    await page.waitForSelector(`${lead} [data-outcome="never closed"]`);
    expect(await page.textContent(lead)).toContain('Never a flash unit on this lead');
  });

  it('that never closes with such a lead can’t be told, and the lead comes first', async () => {
    await openSection(bench, 'Flash contact');
    await page.check('[data-field=sync] input[value=X]');
    await fire('1/60');
    await verdictAt('1/60', 'cannot be told');
    expect(await page.textContent('[data-part=flash-sentence]')).toContain('Test the lead first');
    const steps = await page.$$eval('[data-part=never-closes] li', (all) => all.map((li) => li.textContent));
    expect(steps.map((step) => step!.slice(0, 11))).toEqual(['the lead: p', 'the flash t', 'the contact']);
  });

  it('is shown closed and open by a touch, and closed all the time by a short circuit', async () => {
    await bench.open('checks');
    await page.selectOption('[data-control=lead]', 'plugged in');
    await page.click('[data-action=contact-lead]');
    await word('open');
    await touchUntilClosed();
    await word('open');
    expect(Number(await page.textContent(`${lead} [data-figure=closures]`))).toBeGreaterThan(0);
    await page.click('[data-action=finish-contact-lead]');
    await page.waitForSelector(`${lead} [data-outcome=works]`);

    await page.selectOption('[data-control=lead]', 'short circuit');
    await page.click('[data-action=contact-lead]');
    await word('closed');
    await page.click('[data-action=finish-contact-lead]');
    await page.waitForSelector(`${lead} [data-outcome="always closed"]`);
    await page.selectOption('[data-control=lead]', 'plugged in');
    await page.click('[data-action=undo]');
    await page.waitForSelector(`${lead} [data-outcome=works]`);
  });

  it('that never closes on a lead that works is the contact’s own fault', async () => {
    await openSection(bench, 'Flash contact');
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=condition]`, 'contact dead');
    await fire('1/60');
    await verdictAt('1/60', 'never closed');
    expect((await mark('1/60')).closed).toBe('0 of 2');
    expect(await page.textContent('[data-part=never-closes]')).toContain('It is known to work');
  });

  it('has margins at X that leave the open time after the flash, and shrink with it', async () => {
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=condition]`, 'serviced');
    const margins = [];
    for (const [label, marked] of [
      ['1/30', 1000 / 30],
      ['1/125', 8],
      ['1/500', 2],
    ] as const) {
      await fire(label, 2);
      await verdictAt(label, 'in time');
      const { mean, worst, bounces } = await mark(label);
      // A flash of 1 ms, a closure near full opening: between the mark's time less it and that less the edges.
      expect(Number(mean)).toBeLessThan(1.2 * marked - 1);
      expect(Number(mean)).toBeGreaterThan(0.8 * marked - 1 - 1.2);
      expect(Number(worst)).toBeLessThanOrEqual(Number(mean));
      expect(Number(bounces)).toBeGreaterThan(0);
      margins.push(Number(mean));
    }
    expect(margins).toEqual(margins.toSorted((a, b) => b - a));
    expect(await page.textContent('[data-part=sync-range]')).toContain('from 1/30 to 1/500');

    // A flash that lights longer than the fastest mark: too late there alone.
    await page.fill('[data-field=flash-duration]', '3');
    await page.press('[data-field=flash-duration]', 'Tab');
    await verdictAt('1/500', 'too late');
    expect((await mark('1/125')).verdict).toBe('in time');
    expect(Number((await mark('1/125')).mean)).toBeCloseTo(margins[1]! - 2, 1);
    await page.click('[data-action=undo]');
    await verdictAt('1/500', 'in time');
  });

  it('is drawn beside the light, and read by the keys', async () => {
    await page.click('[data-table=flash] tr[data-mark="1/125"] button');
    const slider = '[data-control=contact-time]';
    await page.waitForSelector(slider);
    const read = () => page.textContent('[data-read=contact]');
    expect(await read()).toMatch(/after first light, \d+ % open, contact closed, flash lit$/);
    await page.focus(slider);
    await page.keyboard.press('Home');
    await expect.poll(read).toMatch(/before first light, .* contact open$/);
    const before = await read();
    await page.keyboard.press('ArrowRight');
    await expect.poll(read).not.toBe(before);
    expect(await page.getAttribute(slider, 'aria-valuetext')).toBe(await read());
    expect(await page.$$eval('[data-table=flash-firings] tbody tr', (rows) => rows.length)).toBe(2);
  });

  it('that comes late is told too late', async () => {
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=condition]`, 'flash contact late');
    await fire('1/250');
    await verdictAt('1/250', 'too late');
    expect(await page.textContent('[data-part=flash-sentence]')).toContain('X is too late');
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=condition]`, 'serviced');
  });

  // 13 to 19 ms before 80 % open: a camera maker's guide, see judge/flash-sync.ts.
  it('leads the blades at M, apart from what was fired at X', async () => {
    await page.check('[data-field=sync] input[value=M]');
    await page.waitForSelector('[data-table=flash]', { state: 'detached' });
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=sync]`, 'M');
    await fire('1/60', 2);
    await verdictAt('1/60', 'in time');
    const { mean, closed } = await mark('1/60');
    expect(closed).toBe('2 of 2');
    expect(Number(mean)).toBeGreaterThan(13);
    expect(Number(mean)).toBeLessThan(19);
    await page.selectOption(`${PRACTICE_CONTACT} [data-control=sync]`, 'X');
    await page.check('[data-field=sync] input[value=X]');
    expect((await mark('1/60')).closed).toBe('0 of 2');
    expect(rig.browser.complaints).toEqual([]);
  });
});
