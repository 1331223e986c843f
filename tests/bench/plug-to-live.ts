/**
 * From the plug to a live board, and from the click: a board that was granted before comes back and is taken up by
 * itself; or the user connects one that is there. The board's own start is part of it, the 500 ms for which a common
 * boot loader listens; the page writes nothing in the first second in any case.
 */
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Figure } from './figure.ts';
import { BOOT_MS, RATES, RatedBench } from './rated-bench.ts';
import { median, rounded } from './rounds.ts';

const ROUNDS = 5;
/** For the browser to be done with the port that has gone. */
const UNPLUGGED_MS = 1000;

export async function measurePlugToLive(): Promise<readonly Figure[]> {
  const set = await RatedBench.start();
  try {
    const plugged: Record<LineRate, number[]> = { normal: [], fast: [] };
    const clicked: Record<LineRate, number[]> = { normal: [], fast: [] };
    for (const rate of RATES) {
      await set.connect(rate);
      for (let round = 0; round < ROUNDS; round++) plugged[rate].push(await plugAgain(set, rate));
      await set.disconnect();
      for (let round = 0; round < ROUNDS; round++) clicked[rate].push(await clickAgain(set, rate));
    }
    return (
      [
        ['plug to live', plugged],
        ['click to live', clicked],
      ] as const
    ).flatMap(([quantity, times]) =>
      RATES.map((rate) => ({
        quantity: `${quantity}, ${rate} rate`,
        value: median(times[rate]) / 1e3,
        unit: 's',
        expectation: null,
        detail:
          `${rounded(Math.min(...times[rate]) / 1e3)} to ${rounded(Math.max(...times[rate]) / 1e3)} s; ` +
          `of it the board's boot loader ${rounded(BOOT_MS / 1e3)} s`,
      })),
    );
  } finally {
    await set.close();
  }
}

async function plugAgain(set: RatedBench, rate: LineRate): Promise<number> {
  await set.board.unplug();
  await set.appears('[data-board=lost]');
  await new Promise((resolve) => setTimeout(resolve, UNPLUGGED_MS));
  await set.board.plug(); // its last step is the one that the browser sees
  const begun = performance.now();
  await set.live(rate);
  return performance.now() - begun;
}

async function clickAgain(set: RatedBench, rate: LineRate): Promise<number> {
  await set.bench.open('start');
  const begun = performance.now();
  await set.bench.page.click('[data-action=connect]');
  await set.live(rate);
  const time = performance.now() - begun;
  await set.disconnect();
  return time;
}
