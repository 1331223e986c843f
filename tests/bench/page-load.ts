/**
 * How much of a processor the page takes while it does nothing but listen, at both rates: real Chromium, its own
 * serial stack, the board in a process of its own. The rates take turns on one page, so that a drift of the machine's
 * speed touches both alike.
 *
 * The share is the processor time of the page's process (all of its threads, as the system counts it) over the time
 * on the wall. On a busy machine the board gives up time and sends less: the share is then too small, and the load
 * that the bench prints says so.
 */
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import { processorSeconds } from '../rig/processes.ts';
import type { Figure } from './figure.ts';
import { RATES, RatedBench } from './rated-bench.ts';
import { median, rounded } from './rounds.ts';

const ROUNDS = 3;
/** After the connection: the engine compiles what it runs often. */
const SETTLING_MS = 4000;
const WATCHED_MS = 10_000;

export async function measurePageLoad(): Promise<readonly Figure[]> {
  const set = await RatedBench.start();
  try {
    const shares: Record<LineRate, number[]> = { normal: [], fast: [] };
    const whole: Record<LineRate, number[]> = { normal: [], fast: [] };
    for (let round = 0; round < ROUNDS; round++) {
      for (const rate of RATES) {
        await set.connect(rate);
        await set.bench.open('bench');
        await set.bench.waitForArmed();
        await new Promise((resolve) => setTimeout(resolve, SETTLING_MS));
        const { page, all } = await watch(set);
        shares[rate].push(page);
        whole[rate].push(all);
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
        `best ${rounded(100 * Math.min(...shares[rate]))} %; all of Chromium ${rounded(100 * median(whole[rate]))} %` +
        (rate === 'fast' ? `; ${rounded(ratio)} × the normal rate` : ''),
    }));
  } finally {
    await set.close();
  }
}

/** Shares of the page's process and of all processes of the browser. */
async function watch({ browser }: RatedBench): Promise<{ page: number; all: number }> {
  const { ofPages, all } = browser.processes();
  const time = (pids: readonly number[]) => pids.reduce((sum, pid) => sum + processorSeconds(pid), 0);
  const begun = performance.now();
  const before = { page: time(ofPages), all: time(all) };
  await new Promise((resolve) => setTimeout(resolve, WATCHED_MS));
  const seconds = (performance.now() - begun) / 1e3;
  return { page: (time(ofPages) - before.page) / seconds, all: (time(all) - before.all) / seconds };
}
