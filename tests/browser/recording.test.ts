/** The bench saves what the board sent; the command line and the page itself can read it again. */
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { afterEach, expect, it } from 'vitest';
import type { Rig } from '../rig/rig.ts';
import { setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('gives the same figures from the recording as on the bench, and files nothing when played', async () => {
  const set = await setUpBench(90);
  rig = set.rig;
  const { board, browser, bench } = set;
  await board.setDial('1/15');
  await bench.setMark('1/15');
  for (let i = 0; i < 3; i++) await bench.fire(board);
  const kept = await bench.kept();
  const [download] = await Promise.all([
    browser.page.waitForEvent('download'),
    browser.page.click('text=Save recording'),
  ]);
  const file = path.join(rig.directory, 'saved.recording');
  await download.saveAs(file);

  const lines = execFileSync('npm', ['run', '--silent', 'replay', '--', file], { encoding: 'utf8' });
  const replayed = lines
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as { effectiveSeconds: number; spoilt: string | null });
  expect(replayed.map((firing) => firing.spoilt)).toEqual([null, null, null]);
  expect(replayed.map((firing) => firing.effectiveSeconds)).toEqual(
    kept.map((firing) => firing.figures.effective),
  );

  await bench.open('start');
  await browser.page.setInputFiles('[data-action=recording]', file);
  await browser.page.waitForSelector('[data-kept="not filed"]', { timeout: 30_000 });
  expect(await bench.kept()).toHaveLength(3);
  expect((await bench.table()).get('1/15')?.n).toBe('3');

  // A file of another version is refused with its name and the reason.
  const other = path.join(rig.directory, 'other.recording');
  fs.writeFileSync(other, 'leafclock recording 9\n{}\n');
  await bench.open('start');
  await browser.page.setInputFiles('[data-action=recording]', other);
  await expect
    .poll(() => browser.page.textContent('.notices'))
    .toMatch(/other.recording can't be played: This is a 'leafclock recording 9'/);

  // One that is cut off is played as far as it goes.
  const cut = path.join(rig.directory, 'cut-off.recording');
  fs.writeFileSync(cut, fs.readFileSync(file).subarray(0, 5000));
  await bench.open('start');
  await browser.page.setInputFiles('[data-action=recording]', cut);
  await expect
    .poll(() => browser.page.textContent('.notices'))
    .toMatch(/cut-off.recording is played as far as it can be read. .*cut off/);
  expect(browser.complaints).toEqual([]);
});
