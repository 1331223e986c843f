/**
 * How much of a processor the page takes while it does nothing but listen, at both rates: real Chromium, its own
 * serial stack, the board in a process of its own. The rates take turns on one page, so that a drift of the machine's
 * speed touches both alike.
 *
 * The share is the processor time of the page's process (all of its threads, as the system counts it) over the time
 * of the board: on a busy machine the emulated board falls behind the clock and sends less. A firing before and one
 * after the watch tell at which of its cycles the board stood.
 */
import { CLOCK_HZ } from '../../app/practice/board.ts';
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Board } from '../rig/board.ts';
import { processorSeconds } from '../rig/processes.ts';
import type { Figure } from './figure.ts';
import { RATES, RatedBench } from './rated-bench.ts';
import { median, rounded } from './rounds.ts';

const ROUNDS = 3;
/** After the connection: the engine compiles what it runs often. */
const SETTLING_MS = 4000;
const WATCHED_MS = 10_000;
const READ_MS = 1500;

export async function measurePageLoad(): Promise<readonly Figure[]> {
  const set = await RatedBench.start();
  try {
    const shares: Record<LineRate, number[]> = { normal: [], fast: [] };
    const whole: Record<LineRate, number[]> = { normal: [], fast: [] };
    const paces: Record<LineRate, number[]> = { normal: [], fast: [] };
    for (let round = 0; round < ROUNDS; round++) {
      for (const rate of RATES) {
        await set.connect(rate);
        await set.bench.open('bench');
        await set.bench.waitForArmed();
        await new Promise((resolve) => setTimeout(resolve, SETTLING_MS));
        const { page, all, pace } = await watch(set);
        shares[rate].push(page);
        whole[rate].push(all);
        paces[rate].push(pace);
        await set.live(rate);
        await set.disconnect();
      }
    }
    const ratio = median(shares.fast.map((share, round) => share / shares.normal[round]!));
    return RATES.map((rate) => ({
      quantity: `page listening, ${rate} rate`,
      value: 100 * median(shares[rate]),
      unit: '% of a processor',
      expectation: null,
      detail:
        `best ${rounded(100 * Math.min(...shares[rate]))} %; all of Chromium ${rounded(100 * median(whole[rate]))} %; ` +
        `the board ran at ${rounded(median(paces[rate]))} of its pace` +
        (rate === 'fast' ? `; ${rounded(ratio)} × the normal rate` : ''),
    }));
  } finally {
    await set.close();
  }
}

/** Shares of the page's process and of all processes of the browser, and emulated seconds for each real one. */
async function watch({ board, browser }: RatedBench): Promise<{ page: number; all: number; pace: number }> {
  const { ofPages, all } = browser.processes();
  const time = (pids: readonly number[]) => pids.reduce((sum, pid) => sum + processorSeconds(pid), 0);
  const begun = await stand(board);
  const before = { at: performance.now(), page: time(ofPages), all: time(all) };
  await new Promise((resolve) => setTimeout(resolve, WATCHED_MS));
  const after = { at: performance.now(), page: time(ofPages), all: time(all) };
  const ended = await stand(board);
  const pace = (ended.seconds - begun.seconds) / ((ended.at - begun.at) / 1e3);
  const seconds = (pace * (after.at - before.at)) / 1e3;
  return { page: (after.page - before.page) / seconds, all: (after.all - before.all) / seconds, pace };
}

/** Board's time and the clock's, in seconds and ms, at a release of the shutter; back when the page has read it. */
async function stand(board: Board): Promise<{ seconds: number; at: number }> {
  const at = performance.now();
  const { releaseCycle } = await board.fire();
  await new Promise((resolve) => setTimeout(resolve, READ_MS));
  return { seconds: releaseCycle / CLOCK_HZ, at };
}
