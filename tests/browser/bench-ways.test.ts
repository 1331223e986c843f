/** Ways of working with full hands: the programme, marks side by side, work notes, across the room, by ear. */
import { afterEach, expect, it } from 'vitest';
import { setUpPractice } from './bench-rig.ts';

let rig: Awaited<ReturnType<typeof setUpPractice>>['rig'] | null = null;
afterEach(() => rig?.close());

it('follows a programme: on by itself, back with a firing moved or set aside, repeat and skip by one key', async () => {
  const { bench, browser, ...rest } = await setUpPractice();
  rig = rest.rig;
  const { page } = browser;
  const dialAt = () => page.textContent('.reading .dial strong');
  const setShutter = async (mark: string) => {
    await page.selectOption('[data-control=dial]', mark);
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  };
  await page.selectOption('[data-field=programme]', 'fast to slow');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await expect.poll(dialAt).toBe('1/500');
  expect(await page.textContent('[data-programme]')).toMatch(/1\/500 firing 1 of 3, then 1\/250 · 0 of 30/);

  await setShutter('1/500');
  await bench.firePractice(3);
  await expect.poll(dialAt).toBe('1/250');
  // Set aside, the programme goes back to the mark that now lacks one; undone, it goes on.
  await page.keyboard.press('a');
  await page.waitForSelector('[data-panel="set aside"]');
  await page.keyboard.press('Enter');
  await expect.poll(dialAt).toBe('1/500');
  await page.keyboard.press('u');
  await expect.poll(dialAt).toBe('1/250');
  // Once more at the last mark, and then on where it was.
  await page.keyboard.press('r');
  await expect.poll(dialAt).toBe('1/500');
  await bench.firePractice();
  await expect.poll(dialAt).toBe('1/250');
  expect((await bench.table()).get('1/500')?.n).toBe('4');

  await page.keyboard.press('n');
  await expect.poll(dialAt).toBe('1/125');
  // The shutter's dial was forgotten: the page asks and waits, one key files the firing where it belongs.
  await setShutter('1/30');
  await bench.firePractice();
  await page.waitForSelector('[data-question="1/30"]');
  expect(await dialAt()).toBe('1/125');
  await page.keyboard.press('m');
  await expect.poll(async () => (await bench.table()).get('1/30')?.n).toBe('1');
  expect(await page.textContent('[data-programme]')).toContain('1/125 firing 1 of 3');
  // Kept over a reload.
  await page.reload();
  await expect.poll(() => page.textContent('[data-programme]')).toContain('1/125 firing 1 of 3');
});

it('shows marks side by side at once, takes work notes between firings, and can be read across the room', async () => {
  const { bench, browser, ...rest } = await setUpPractice();
  rig = rest.rig;
  const { page } = browser;
  await bench.setPracticeDial('1/30');
  await page.keyboard.press('v');
  await page.waitForSelector('[data-tiles="3"]');
  expect(await page.textContent('[data-tile="1/30"]')).toContain('not fired yet');
  await page.click('[data-pick="1/8"]');
  await page.waitForSelector('[data-tiles="4"]');
  expect(await page.isDisabled('[data-pick="1/2"]')).toBe(true);
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await bench.firePractice(3);
  const error = () => page.textContent('[data-tile="1/30"] [data-figure=error]');
  const asAssembled = Number((await error())!.replace('−', '-'));
  expect(Math.abs(asAssembled)).toBeLessThan(0.3);

  await page.keyboard.press('w');
  await page.waitForSelector('[data-panel=work]');
  await page.fill('[data-field=work-amount]', 'far');
  await page.keyboard.press('Enter');
  expect(await page.textContent('[data-panel=work]')).toContain('must be a number above zero');
  await page.fill('[data-field=work-amount]', '2');
  await page.fill('[data-field=work-unit]', 'turns');
  await page.keyboard.press('Enter');
  await page.waitForSelector('[data-panel=work]', { state: 'detached' });
  for (let i = 0; i < 8; i++) await page.keyboard.press('.');
  await bench.firePractice();
  const governorIn = Number((await error())!.replace('−', '-'));
  expect(governorIn).toBeGreaterThan(asAssembled + 0.15);
  expect(await page.textContent('[data-tile="1/30"]')).toContain('slow');
  await page.keyboard.press('w');
  await expect
    .poll(() => page.textContent('.work-steps'))
    .toContain('after firing 3: governor in by 2 turns');
  await page.keyboard.press('Escape');

  await page.keyboard.press('v');
  await page.waitForSelector('[data-far]');
  const share = await page.$eval('[data-far] [data-figure=time]', (time) => {
    const size = Number.parseFloat(getComputedStyle(time).fontSize);
    return size / innerHeight;
  });
  expect(share).toBeGreaterThan(0.25);
  expect(await page.textContent('[data-figure=verdict]')).toContain('within its band');
  await bench.firePractice(2);
  await page.keyboard.press('Escape');
  await page.waitForSelector('.reading');
  const near = await page.$eval('.reading [data-figure=time]', (time) => {
    const size = Number.parseFloat(getComputedStyle(time).fontSize);
    return size / innerHeight;
  });
  expect(near).toBeGreaterThan(0.09);

  // What the work did, with its interval, and no advice from one mark alone.
  await page.keyboard.press('w');
  const effect = page.locator('[data-effect=governor]');
  await expect
    .poll(() => effect.locator('[data-mark="1/30"] [data-cell=words]').textContent())
    .toMatch(/0\.\d+ EV longer/);
  expect(await effect.locator('[data-mark="1/30"] [data-cell=interval]').textContent()).toMatch(
    /^\+0\.\d+ to \+0\.\d+ EV$/,
  );
  expect(await effect.textContent()).toContain('it takes two governed marks');
});

it('tells a reading by a tone and by words, and keeps the screen awake while a board is connected', async () => {
  const { bench, browser, ...rest } = await setUpPractice();
  rig = rest.rig;
  const { page } = browser;
  await page.waitForSelector('[data-board=live][data-awake=true]');
  // Listens in on what is played and said; a machine without a loudspeaker has no voice of its own.
  await page.evaluate(() => {
    const heard: string[] = [];
    Object.assign(window, { heard });
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (at) {
      heard.push(`${Math.round(this.frequency.value)} Hz`);
      start.call(this, at);
    };
    const voice = { name: 'Voice of a test', lang: 'en-GB', localService: true };
    speechSynthesis.getVoices = () => [voice as SpeechSynthesisVoice];
    window.SpeechSynthesisUtterance = class {
      constructor(readonly text: string) {}
    } as unknown as typeof SpeechSynthesisUtterance;
    speechSynthesis.speak = (utterance) => void heard.push(utterance.text);
  });
  const heard = () => page.evaluate(() => (window as unknown as { heard: string[] }).heard);
  const forget = () => page.evaluate(() => (window as unknown as { heard: string[] }).heard.splice(0));
  await bench.setPracticeDial('1/60');
  await bench.firePractice();
  expect(await heard()).toEqual(['880 Hz']);
  await forget();
  await page.click('[data-toggle=voice]');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await bench.setPracticeDial('1/60');
  await bench.firePractice();
  await expect.poll(heard).toEqual(['880 Hz', expect.stringMatching(/^60: good 0\.[0-4]$/)]);
  await forget();
  // Far off the mark it asks, by tone and words.
  await page.selectOption('[data-control=dial]', '1/8');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await bench.firePractice();
  await expect.poll(heard).toEqual(['659 Hz', '659 Hz', 'is the dial at 60?']);
  await forget();
  await page.click('[data-toggle=tones]');
  await page.click('[data-toggle=voice]');
  await page.evaluate(() => (document.activeElement as HTMLElement).blur());
  await bench.firePractice();
  expect(await heard()).toEqual([]);
});
