/**
 * How long the page may be blocked before the stream is torn: its main thread is kept busy for growing times, until
 * a gap shows. What comes meanwhile waits in the browser's buffer, which the page asks for when it opens the port, and
 * behind it in what the rig keeps of a USB converter's 64 kB.
 */
import { LONGEST_MESSAGE_FRAME } from '../../firmware-protocol/frames.ts';
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import { SAMPLES_PER_BLOCK } from '../../firmware-protocol/messages.ts';
import type { Figure } from './figure.ts';
import { RATES, RatedBench } from './rated-bench.ts';
import { rounded } from './rounds.ts';

/** Seconds to begin with, and by how much each trial is longer. */
const FIRST: Readonly<Record<LineRate, number>> = { normal: 8, fast: 4 };
/** One sample for every 52 or 26 ticks of half a microsecond (firmware-protocol/README.md). */
const SAMPLES_PER_SECOND: Readonly<Record<LineRate, number>> = { normal: 2e6 / 52, fast: 2e6 / 26 };
const STEP = 1.25;
const LONGEST = 90;
/** For the page to work off what has waited. */
const RECOVERY_MS = 4000;

export async function measureBacklog(): Promise<readonly Figure[]> {
  const set = await RatedBench.start();
  try {
    const figures: Figure[] = [];
    for (const rate of RATES) {
      await set.connect(rate);
      await set.bench.open('bench');
      await set.bench.waitForArmed();
      const bytesPerSecond = (SAMPLES_PER_SECOND[rate] * (LONGEST_MESSAGE_FRAME + 1)) / SAMPLES_PER_BLOCK;
      const { good, torn } = await growingBlocks(set, FIRST[rate]);
      const until = torn === null ? `none up to ${LONGEST} s` : `${rounded(torn)} s tore it`;
      figures.push(
        {
          quantity: `page blocked, nothing lost, ${rate} rate`,
          value: good,
          unit: 's',
          // A page that is busy for five seconds must lose nothing.
          expectation: { least: 5 },
          detail: `the longest of growing blocks; ${until}`,
        },
        {
          quantity: `backlog tolerated, ${rate} rate`,
          value: (good * bytesPerSecond) / 1e6,
          unit: 'MB',
          expectation: null,
          detail: `${rounded(bytesPerSecond / 1e3)} kB/s`,
        },
      );
      await set.disconnect();
    }
    return figures;
  } finally {
    await set.close();
  }
}

async function growingBlocks(set: RatedBench, first: number): Promise<{ good: number; torn: number | null }> {
  let good = 0;
  for (let seconds = first; seconds <= LONGEST; seconds *= STEP) {
    const before = await hurt(set);
    await set.bench.page.evaluate((milliseconds) => {
      const end = performance.now() + milliseconds;
      while (performance.now() < end);
    }, 1e3 * seconds);
    await new Promise((resolve) => setTimeout(resolve, RECOVERY_MS));
    if ((await hurt(set)) !== before) return { good, torn: seconds };
    good = seconds;
  }
  return { good, torn: null };
}

/** What the page says of its board and the line dropped: any change means that something was lost. */
async function hurt({ bench, board }: RatedBench): Promise<string> {
  return `${await bench.boardWords()}, ${board.line.dropped} dropped`;
}
