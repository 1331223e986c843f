/** The checks before the work, on the practice bench in the built page: light, reference light, iris, budget. */
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';

const rig = new Rig();
let page: Page;
let bench: BenchPage;
let browser: Awaited<ReturnType<Rig['launch']>>;

beforeAll(async () => {
  const { origin } = await rig.servePage();
  browser = await rig.launch(origin);
  ({ page } = browser);
  bench = new BenchPage(page, origin);
  await bench.open('start');
  await page.click('[data-action=practice]');
  await bench.waitForBoard('live');
});
afterAll(() => rig.close());

const release = '[aria-label="Practice light"] [data-control=fire]';

/** Fires on the screen of the checks and waits until the count of firings taken says so. */
async function fireForIris(taken: number): Promise<void> {
  await page.waitForSelector(`${release}:not([disabled])`, { timeout: 20_000 });
  await expect
    .poll(
      async () => {
        if (await page.isEnabled(release)) await page.click(release);
        await page.waitForSelector(`${release}:not([disabled])`, { timeout: 20_000 });
        await page.waitForTimeout(700);
        return Number(
          /(\d+) of \d+ taken/.exec((await page.textContent('[data-card=iris]')) ?? '')?.[1] ?? -1,
        );
      },
      { timeout: 60_000, interval: 300 },
    )
    .toBeGreaterThanOrEqual(taken);
}

async function checkLight(lamp: string): Promise<string> {
  await page.selectOption('[data-control=lamp]', lamp);
  await page.waitForSelector('[data-control=hold-open]:not([disabled])', { timeout: 20_000 });
  await page.click('[data-action=light-check]');
  await page.waitForSelector('[data-step="wait for light"]', { timeout: 20_000 });
  await page.click('[data-control=hold-open]');
  await page.waitForSelector('[data-step=open]', { timeout: 20_000 });
  await page.waitForFunction(
    () => (document.querySelector<HTMLProgressElement>('[data-card=light] progress')?.value ?? 0) > 0.06,
    undefined,
    { timeout: 60_000 },
  );
  await page.click('[data-action=finish-light-check]');
  await page.waitForSelector('[data-card=light] [data-outcome]');
  await page.click('text=Let go');
  return (await page.getAttribute('[data-card=light] [data-outcome]', 'data-outcome')) ?? '';
}

it('says what to change about a lamp on the mains, and passes a steady one', async () => {
  await bench.open('checks');
  expect(await checkLight('mains lamp, 100 Hz')).toContain('flicker');
  expect(await page.textContent('[data-card=light]')).toMatch(/100 Hz/);
  expect(await checkLight('steady LED')).toBe('passed');
  // What the light check saw is the open level for the firings that follow.
  await bench.open('bench');
  await page.waitForSelector('[data-reference="light check"]');
});

it('ends a check whose screen is left, so that the next firing is filed', async () => {
  await bench.open('checks');
  await page.waitForSelector('[data-control=hold-open]:not([disabled])', { timeout: 20_000 });
  await page.click('[data-action=light-check]');
  await page.waitForSelector('[data-card=light] [data-step]');
  await bench.open('bench');
  expect(await page.textContent('.notices')).toContain('its screen was left');
  const before = await bench.shownId();
  await bench.waitForArmed();
  await page.keyboard.press('Space');
  await bench.waitForRecorded(before);
});

it('reads the reference pulses true', async () => {
  await bench.open('checks');
  await page.waitForSelector('[data-control=hold-open]:not([disabled])', { timeout: 20_000 });
  await page.click('[data-action=reference-light]');
  await page.waitForSelector('[data-table=pulses]', { timeout: 60_000 });
  expect(await page.getAttribute('[data-card=reference-light] [data-outcome]', 'data-outcome')).toBe(
    'passed',
  );
  expect(await page.$$eval('[data-table=pulses] tbody tr', (rows) => rows.length)).toBe(10);
});

it('finds the whole opening used, and tells it from the middle alone', async () => {
  for (const [share, outcome] of [
    ['1', 'whole opening used'],
    ['0.5', 'part of the opening used'],
  ] as const) {
    await page.selectOption('[data-control=seen-share]', share);
    await page.selectOption('[data-control=iris]', '0');
    if (await page.isVisible('text=Dial to 1/500')) await page.click('text=Dial to 1/500');
    await page.click('[data-action=iris-check]');
    await fireForIris(4);
    await page.click('[data-action=iris-next]');
    await page.selectOption('[data-control=iris]', '1');
    await fireForIris(4);
    await page.click('[data-action=iris-next]');
    await page.waitForSelector(`[data-card=iris] [data-outcome="${outcome}"]`, { timeout: 20_000 });
  }
  await page.selectOption('[data-control=seen-share]', '1');
  await page.selectOption('[data-control=iris]', '0');
});

it('shows a budget on demand, judges by the rule of the job, and prints budget, rule and checks', async () => {
  await bench.open('bench');
  await page.selectOption('[data-control=dial]', '1/60');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await bench.setMark('1/60');
  for (let i = 0; i < 3; i++) {
    const before = await bench.shownId();
    await bench.waitForArmed();
    await page.keyboard.press('Space');
    await bench.waitForRecorded(before);
  }
  await page.keyboard.press('b');
  await page.waitForSelector('[data-panel=budget]');
  const budget = (await page.textContent('[data-panel=budget]')) ?? '';
  for (const line of ['Repeatability', 'Linearity', 'Geometry', 'clock']) expect(budget).toContain(line);
  const expanded = /U = ([\d.]+) EV/.exec(budget)?.[1];
  expect(Number(expanded)).toBeGreaterThan(0);
  await page.keyboard.press('Escape');

  // A rule with a guard band, a band narrower than U, a limit that no shutter keeps: other verdicts, the same readings.
  const before = (await bench.table()).get('1/60')!;
  expect(before.verdict).toContain('within');
  const error = Number(before.error!.replace('−', '-'));
  await bench.open('job');
  for (const [field, limit] of [
    ['band-lower', error - 0.003],
    ['band-upper', error + 0.003],
    ['spread-limit', 0.0001],
  ] as const) {
    await page.fill(`[data-field=${field}]`, limit.toFixed(4));
    await page.press(`[data-field=${field}]`, 'Tab');
  }
  await page.selectOption('[data-field=decision-rule]', 'guard band');
  await bench.open('bench');
  await expect.poll(async () => (await bench.table()).get('1/60')!.verdict).toMatch(/undecided.*erratic/);
  const after = (await bench.table()).get('1/60')!;
  expect({ ...after, verdict: '' }).toEqual({ ...before, verdict: '' });

  const file = path.join(rig.directory, 'checks.pdf');
  await (await bench.savePdf()).saveAs(file);
  const printed = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  const text = printed.replaceAll(/\s+/g, ' ');
  expect(text).toContain(expanded);
  expect(text).toMatch(/reference light, .{0,40}: passed; mean error/);
  expect(text).toMatch(/light check, .{0,40}: passed; dark/);
  expect(text).toContain('contradicts the statement that the whole opening is lit and seen');
  expect(text).toMatch(/guard band/i);
  expect(text).toMatch(/[+−]0\.\d+ to [+−]?0\.\d+ stop/);
  expect(browser.complaints).toEqual([]);
  expect(browser.foreignRequests).toEqual([]);
});
