/** Damage on the line of the real stack: no false reading, damages counted and shown, the session goes on. */
import { afterEach, expect, it } from 'vitest';
import type { Rig } from '../rig/rig.ts';
import { pause, setUpBench } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

it('never measures a firing that touches damage as good', async () => {
  const set = await setUpBench(80);
  rig = set.rig;
  const { board, browser, bench } = set;
  await board.setDial('1/4');
  await bench.setMark('1/4');
  const sound = await bench.fire(board);

  // About one damage in 15 kB, a third of a second: some firings are touched, some are not.
  await board.damage({ rate: 1 / 15_000, seed: 81 });
  const truths = [];
  for (let i = 0; i < 12; i++) {
    await bench.waitForArmed();
    truths.push(await board.fire());
    await pause(400);
  }
  await board.damage(null);
  expect(board.damages.filter((damage) => damage.direction === 'to page').length).toBeGreaterThan(10);
  await bench.waitForBoard('live');
  const shown = Number(await browser.page.getAttribute('[data-damaged]', 'data-damaged'));
  expect(shown).toBeGreaterThan(5);

  await bench.fire(board);
  const kept = await bench.kept();
  const good = kept.filter((firing) => firing.firing.spoilt === null);
  const exact = [sound.truth, ...truths, ...board.firings.slice(-1)].map((truth) => truth.effectiveTime);
  for (const firing of good) {
    const nearest = Math.min(...exact.map((te) => Math.abs(te - (firing.figures.effective ?? 0))));
    expect(nearest, `firing ${firing.ordinal}: ${firing.figures.effective}`).toBeLessThan(5e-6 + 2e-4 * 0.25);
  }
  expect(kept.some((firing) => firing.firing.spoilt !== null)).toBe(true);
  // Only good firings are counted.
  expect((await bench.table()).get('1/4')?.n).toBe(String(good.length));
});
