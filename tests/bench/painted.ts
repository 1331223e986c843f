/**
 * From the last light of a firing to its reading on the screen: the built page in real Chromium, its own
 * serial stack, the emulated board at the pace of the clock.
 *
 * Last light: the emulator knows the cycle at which the blades closed, and its process at what reading of the
 * machine's monotonic clock it came to that cycle (microseconds, while the board keeps up with the clock).
 * A board that lags behind for a moment makes the figure larger, never smaller.
 *
 * Painted: a MutationObserver sees the provisional reading enter the page; the first animation frame after it
 * comes before that frame is painted, the second one after it. The second one's time is taken, so the figure is
 * too large by up to one frame (17 ms), never too small. There is no screen: what a display adds is not in it.
 *
 * Clocks: Chromium and Node read the same monotonic clock with different zeros. Their difference is found
 * by asking the page for its time and noting ours before and after; the quickest of many answers bounds the error
 * by half its time, which the detail states.
 */
import type { Page } from 'playwright-core';
import { BenchPage } from '../browser/bench-page.ts';
import type { Board } from '../rig/board.ts';
import { Rig } from '../rig/rig.ts';
import { builtPage } from './built-page.ts';
import type { Figure } from './figure.ts';
import { median, percentile, rounded } from './rounds.ts';

const MARK = '1/125';
const FIRINGS = 50;
const QUESTIONS = 200;

/** Times of the page's own clock, in ms. */
interface Sighting {
  readonly inPage: number;
  readonly painted: number;
}

declare global {
  interface Window {
    /** By the reading's id. */
    sightings: Record<string, Sighting>;
  }
}

export async function measurePainted(): Promise<readonly Figure[]> {
  const rig = new Rig();
  try {
    const { origin } = await rig.servePage(await builtPage());
    const board = await rig.startBoard({ seed: 20261125 });
    await board.plug();
    const { page } = await rig.launch(origin);
    const bench = new BenchPage(page, origin);
    await bench.newJob({ customer: 'Nobody (invented)' });
    await bench.connectBoard();
    await board.setDial(MARK);
    await bench.setMark(MARK);
    await page.evaluate(watchReadings);
    const before = await relateClocks(page);
    await bench.fire(board);
    const sightings = [];
    while (sightings.length < FIRINGS) sightings.push(await fireOnce(bench, board));
    const after = await relateClocks(page);
    const { offset, error } = before.error < after.error ? before : after;
    const delays = sightings.map(({ inPage, painted, closed }) => ({
      inPage: inPage + offset - closed,
      painted: painted + offset - closed,
    }));
    return figuresOf(delays, error);
  } finally {
    await rig.close();
  }
}

function figuresOf(delays: readonly Sighting[], clockError: number): Figure[] {
  const painted = delays.map((delay) => delay.painted);
  const inPage = median(delays.map((delay) => delay.inPage));
  const quantity = 'last light to reading painted';
  return [
    {
      quantity: `${quantity}, median`,
      value: median(painted),
      unit: 'ms',
      expectation: { most: 100 },
      detail: `best ${rounded(Math.min(...painted))} ms; in the page, not yet painted, after ${rounded(inPage)} ms`,
    },
    {
      quantity: `${quantity}, p99 of ${painted.length}`,
      value: percentile(painted, 99),
      unit: 'ms',
      expectation: { most: 100 },
      detail: `clocks related to ±${rounded(clockError)} ms`,
    },
  ];
}

async function fireOnce(bench: BenchPage, board: Board) {
  const { id } = await bench.fire(board);
  const sighting = await bench.page.evaluate((reading) => window.sightings[reading], id);
  if (!sighting || Number.isNaN(sighting.painted))
    throw new Error('A reading was recorded but never painted');
  if (Number.isNaN(board.lastLightAt)) throw new Error('The board did not say when its blades closed');
  return { ...sighting, closed: board.lastLightAt };
}

/**
 * Runs in the page. The time is that of the first reading shown under an id: the provisional one. Inner functions
 * have no names: tsx would mark them by a helper that the page doesn't have.
 */
function watchReadings(): void {
  window.sightings = {};
  new MutationObserver(() => {
    const inPage = performance.now();
    const id = document.querySelector<HTMLElement>('[data-reading]')?.dataset.reading;
    const time = document.querySelector('[data-figure=time]')?.textContent ?? '';
    if (!id || id in window.sightings || !/\d/.test(time)) return;
    window.sightings[id] = { inPage, painted: Number.NaN };
    requestAnimationFrame(() =>
      requestAnimationFrame(() => {
        window.sightings[id] = { inPage, painted: performance.now() };
      }),
    );
  }).observe(document.body, { attributes: true, characterData: true, childList: true, subtree: true });
}

/** What to add to the page's performance.now() to get this machine's monotonic clock, in ms, and how far off it may be. */
async function relateClocks(page: Page): Promise<{ offset: number; error: number }> {
  let closest = { offset: Number.NaN, error: Number.POSITIVE_INFINITY };
  for (let i = 0; i < QUESTIONS; i++) {
    const asked = monotonic();
    const there = await page.evaluate(() => performance.now());
    const answered = monotonic();
    const error = (answered - asked) / 2;
    if (error < closest.error) closest = { offset: asked + error - there, error };
  }
  return closest;
}

const monotonic = () => Number(process.hrtime.bigint()) / 1e6;
