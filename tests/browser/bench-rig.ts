import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';

export interface BenchRig {
  readonly rig: Rig;
  readonly board: Board;
  readonly browser: Browser;
  readonly bench: BenchPage;
  readonly origin: string;
}

/** The built page in Chromium, a job open, the emulated board connected and live. */
export async function setUpBench(seed: number): Promise<BenchRig> {
  const rig = new Rig();
  const { origin } = await rig.servePage();
  const board = await rig.startBoard({ seed });
  await board.plug();
  const browser = await rig.launch(origin);
  const bench = new BenchPage(browser.page, origin);
  await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
  await bench.connectBoard();
  return { rig, board, browser, bench, origin };
}

/** The built page in Chromium with the practice bench connected, its invented job open, the bench on show. */
export async function setUpPractice(): Promise<Omit<BenchRig, 'board'>> {
  const rig = new Rig();
  const { origin } = await rig.servePage();
  const browser = await rig.launch(origin);
  const bench = new BenchPage(browser.page, origin);
  await bench.open('start');
  await browser.page.click('[data-action=practice]');
  await bench.waitForBoard('live');
  await bench.open('bench');
  return { rig, browser, bench, origin };
}

export const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
