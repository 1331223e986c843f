/** The checks of a camera that are entered by hand, in the built page: exposure meter and mechanics. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BenchPage } from './bench-page.ts';
import { type BenchRig, setUpPractice } from './bench-rig.ts';
import { openSection } from './camera-page.ts';

let rig: Omit<BenchRig, 'board'>;
let page: Page;
let bench: BenchPage;

beforeAll(async () => {
  rig = await setUpPractice();
  ({ bench } = rig);
  ({ page } = rig.browser);
});
afterAll(() => rig?.rig.close());

describe('the exposure meter', () => {
  const error = (place: number) =>
    page
      .textContent(`[data-point="${place}"] [data-cell=error]`)
      .then((text) => Number(text!.replace('−', '-')));
  const advice = (is: string) => page.waitForSelector(`[data-advice="${is}"]`);

  async function add(light: string, ...fields: readonly string[]): Promise<void> {
    await page.fill('[data-field=new-light]', light);
    for (const [i, text] of fields.entries()) await page.fill(`[data-field=new-reading-${i + 1}]`, text);
    await page.keyboard.press('Enter');
  }
  async function beginAnew(notation: string): Promise<void> {
    if (await page.isVisible('[data-action=remove-meter]')) await page.click('[data-action=remove-meter]');
    await page.click('[data-action=begin-meter]');
    await page.selectOption('[data-field=meter-notation]', notation);
  }

  it('is judged by exposure values, changed in place, shortened and lengthened', async () => {
    await openSection(bench, 'Exposure meter');
    await beginAnew('EV');
    for (const [light, read] of [
      ['EV 8', '8.2'],
      ['EV 11', '11'],
      ['EV 14', '13.8'],
    ] as const)
      await add(light, read);
    await advice('usable');
    expect([await error(1), await error(2), await error(3)]).toEqual([0.2, 0, -0.2]);
    await page.fill('[data-point="2"] td:nth-child(2) input', 'nothing');
    await page.keyboard.press('Tab');
    await page.waitForSelector('[role=alert] >> text=is no exposure value');
    await page.fill('[data-point="2"] td:nth-child(2) input', '14.5');
    await page.keyboard.press('Tab');
    await advice('not to be relied on');
    await page.click('[aria-label="Remove reading 2"]');
    await advice('too few points');
    await page.click('[data-action=undo]');
    await page.click('[data-action=undo]');
    await advice('usable');
    expect(await error(2)).toBe(0);
  });

  // ISO 2720: L·S/K; 32, 256 and 2048 cd/m² at ISO 100 and K = 12.5 ask for EV 8, 11 and 14.
  it('is judged by f-number and time, with a correction', async () => {
    await beginAnew('f-number and time');
    await add('32', '4', '1/8');
    await add('256', 'f/8', '1/15');
    await add('2048', '11', '1/60');
    await advice('usable with correction');
    expect([await error(1), await error(2), await error(3)]).toEqual([-1, -1, -1]);
    expect(await page.textContent('[data-advice]')).toContain('1 stop less exposure');
    await page.fill('[data-field=meter-source]', 'light box, calibrated');
    await page.press('[data-field=meter-source]', 'Tab');
    await page.fill('[data-field=meter-uncertainty]', '0.2');
    await page.press('[data-field=meter-uncertainty]', 'Tab');
    await page.waitForSelector('[data-advice] >> text=light box, calibrated, known to ±0.20 EV');
  });

  it('is judged by a needle at its mark, and not relied on when its error wanders', async () => {
    await beginAnew('needle mark');
    await add('EV 8', '4', '1/15');
    await add('EV 11', '8', '1/15');
    await add('EV 14', '8', '1/30');
    await advice('not to be relied on');
    expect([await error(1), await error(2), await error(3)]).toEqual([0, -1, -3]);
    await page.selectOption('[data-field=meter-cell]', 'selenium');
    await page.waitForSelector('.caution >> text=Selenium is poisonous');
  });
});

describe('the mechanical checks', () => {
  const row = (name: string) => `[data-check="${name}"]`;
  const states = () =>
    page.$$eval('[data-table=mechanics] [data-check]', (rows) =>
      rows.map((one) => [(one as HTMLElement).dataset.check, (one as HTMLElement).dataset.state]),
    );

  it('take a letter a line, a note, other names, another order, and are kept as they stand', async () => {
    await openSection(bench, 'Mechanics');
    const [first, second, third] = (await states()).map(([name]) => name!);
    await page.focus(`${row(first!)} input:checked`);
    for (const key of ['f', 'n', 'ArrowUp', 'ArrowLeft', 'ArrowDown', 't']) await page.keyboard.press(key);
    // The arrow to the left led from 'not fitted' to 'fault'; T fell to the third line.
    await page.waitForSelector(`${row(third!)}[data-state="not tested"]`);
    await page.waitForSelector(`${row(second!)}[data-state=fault]`);
    await page.fill(`${row(first!)} input[type=text]`, 'slips (invented)');
    await page.keyboard.press('Tab');

    await page.click('[data-action=edit-mechanics]');
    await page.fill('[data-field=new-check]', 'Strap lugs');
    await page.click('[data-action=add-check]');
    await page.fill('[data-field=new-check]', 'strap  LUGS');
    await page.click('[data-action=add-check]');
    await page.waitForSelector('text=is in the list already');
    await page.fill(`[aria-label="name of ${third}"]`, 'Renamed check');
    await page.keyboard.press('Tab');
    await page.click('[aria-label="Renamed check one place up"]');
    await page.click(`[aria-label="Remove ${second}"]`);
    await page.click('[data-action=undo]');
    await page.fill('[data-field=list-name]', 'Own list of a test');
    await page.click('[data-action=keep-list]');
    await page.click('[data-action=edit-mechanics]');
    const before = await states();
    expect(before.slice(0, 3)).toEqual([
      [first, 'fault'],
      ['Renamed check', 'not tested'],
      [second, 'fault'],
    ]);
    expect(before.at(-1)).toEqual(['Strap lugs', 'not tested']);

    await page.reload();
    await openSection(bench, 'Mechanics');
    await page.waitForSelector('[data-table=mechanics]');
    expect(await states()).toEqual(before);
    expect(await page.inputValue(`${row(first!)} input[type=text]`)).toBe('slips (invented)');
  });

  it('are taken over from the workshop’s own list into another job', async () => {
    await bench.newJob({ description: 'Another camera of a test' });
    await openSection(bench, 'Mechanics');
    await page.selectOption('[data-field=check-list]', { label: 'Own list of a test' });
    await page.click('[data-action=take-list]');
    await page.waitForSelector('[data-table=mechanics]');
    const taken = await states();
    expect(taken.map(([name]) => name)).toContain('Renamed check');
    expect(taken.every(([, state]) => state === 'not tested')).toBe(true);
    expect(rig.browser.complaints).toEqual([]);
  });
});
