/** A page behind another one for minutes, its timers throttled, while a board is fired, reset and plugged again. */
import { setTimeout as delay } from 'node:timers/promises';
import { BenchPage, type KeptFiring } from '../browser/bench-page.ts';
import { Rig } from '../rig/rig.ts';

const MARKS = ['1/500', '1/250', '1/125', '1/60', '1/30', '1/15', '1/8', '1/4', '1/2', '1'];
/** Between firings, in seconds. */
const EVERY = 15;

/** Needs the built page. Whether every firing of so many minutes was recorded, and right. */
export async function hiddenPageRuns(minutes: number): Promise<boolean> {
  const rig = new Rig();
  try {
    const { origin } = await rig.servePage();
    const board = await rig.startBoard({ seed: 96 });
    await board.plug();
    const { page, context } = await rig.launch(origin, { asOnADesk: true });
    // tsx leaves calls of this helper in the functions that are sent to the page.
    await page.addInitScript('globalThis.__name = (named) => named;');
    const bench = new BenchPage(page, origin);
    await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
    await bench.connectBoard();
    await (await context.newPage()).bringToFront();
    while ((await page.evaluate(() => document.visibilityState)) !== 'hidden') await delay(100);

    const phases = new Set<string | null>();
    const rates = new Set<string>();
    const end = performance.now() + 60_000 * minutes;
    for (let turn = 0; performance.now() < end; turn++) {
      if (turn % 8 === 5) await board.reset();
      if (turn % 8 === 7) {
        await board.unplug();
        await delay(1000);
        await board.plug();
      }
      // The page has to be live again by the next firing.
      if (turn % 8 === 5 || turn % 8 === 7) await delay(EVERY * 1000);
      await board.setDial(MARKS[turn % MARKS.length]!);
      await board.fire();
      await delay(EVERY * 1000);
      phases.add(await page.getAttribute('[data-board]', 'data-board'));
      rates.add(await page.evaluate(() => document.querySelector('[data-rate-in-use]')?.textContent ?? '?'));
    }
    const kept = await bench.kept();
    const wrong = kept.filter((one, at) => !isRight(one, board.firings[at]?.effectiveTime ?? Number.NaN));
    console.log(
      `  ${minutes} minutes hidden: ${board.firings.length} firings, ${kept.length} recorded, ${wrong.length} wrong; ` +
        `bytes that found the line full: ${board.line.dropped}; states of the session: ${[...phases].join(', ')}; ` +
        `rates: ${[...rates].join(', ')}`,
    );
    return kept.length === board.firings.length && wrong.length === 0 && board.line.dropped === 0;
  } finally {
    await rig.close();
  }
}

/** 5 µs and 200 ppm, as in the tests in the browser. */
const isRight = ({ firing, figures }: KeptFiring, truth: number) =>
  firing.spoilt === null && Math.abs((figures.effective ?? Number.NaN) - truth) < 5e-6 + 2e-4 * truth;
