/**
 * `npm run soak`: a bench in use, with damage on the line, the cable pulled and the board reset now and then: the
 * built page in real Chromium, its own serial stack, the emulated board in front of the practice shutter. Counted are
 * false readings, firings that were shown as recorded and are not in the database, and memory. The exit status is 1
 * when one of the three, or the page itself, fails.
 *
 *   MINUTES          emulated minutes; 5 when left out
 *   --pace N         emulated minutes for each real one; 1 when left out. Above 1.04 no clock is compared
 *   --damage BYTES   from one damage to the next on the way to the page, on average; 150,000 when left out, 0 for none
 *   --seed N
 */
import { parseArgs } from 'node:util';
import { builtPage } from '../bench/built-page.ts';
import { BenchPage } from '../browser/bench-page.ts';
import { Rig } from '../rig/rig.ts';
import { BenchDay } from './bench-day.ts';
import { keptReadings, noteRecorded, takeRecorded } from './kept-readings.ts';
import { MemoryWatch, type PageMemory } from './page-memory.ts';
import { type Finding, holdAgainstTruth } from './true-readings.ts';

/** Bytes from one damage to the next on the way to the board: commands are a few bytes each. */
const COMMAND_DAMAGE_BYTES = 500;
/** Memory settles meanwhile: the recording of the last minutes fills up. */
const SETTLING_MINUTES = 5;
const MOST_GROWTH = 1.2;
/** Steps of the run that may fail one after the other. */
const MOST_STUMBLES = 5;

interface Minute {
  readonly minute: number;
  readonly memory: PageMemory;
}

function wanted() {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      pace: { type: 'string', default: '1' },
      damage: { type: 'string', default: '150000' },
      seed: { type: 'string', default: '20261126' },
    },
  });
  const [minutes, pace, damage, seed] = [positionals[0] ?? '5', values.pace, values.damage, values.seed].map(
    Number,
  ) as [number, number, number, number];
  if (!(minutes > 0 && pace > 0 && damage >= 0 && Number.isInteger(seed)))
    throw new Error('Usage: npm run soak -- [MINUTES] [--pace N] [--damage BYTES] [--seed N]');
  return { minutes, pace, damage, seed };
}

async function soak(): Promise<boolean> {
  const { minutes, pace, damage, seed } = wanted();
  const rig = new Rig();
  try {
    const { origin } = await rig.servePage(await builtPage('soak-page'));
    const board = await rig.startBoard({ seed, pace });
    await board.plug();
    const browser = await rig.launch(origin, { rate: 'automatic' });
    const { page } = browser;
    const bench = new BenchPage(page, origin);
    const day = new BenchDay(board, bench, { seed, pace });
    await day.nextJob();
    await noteRecorded(page);
    await day.connect();
    const memory = await MemoryWatch.of(page);
    if (damage > 0)
      await board.damage({ rate: 1 / damage, seed }, { rate: 1 / COMMAND_DAMAGE_BYTES, seed: seed + 1 });
    console.log(
      `${minutes} emulated minutes at pace ${pace}, ` +
        (damage > 0 ? `a damage every ${damage.toLocaleString('en')} bytes to the page` : 'a sound line'),
    );
    printRow(HEADINGS);

    const recorded: string[] = [];
    const history: Minute[] = [];
    const told = new Set<string>();
    const begun = performance.now();
    let counts: ReturnType<typeof outcome>;
    for (let minute = 1; ; minute++) {
      const until = Math.min(minute, minutes) * 60;
      while (day.seconds < until) await goOn(day, () => day.fireOnce());
      recorded.push(...(await takeRecorded(page)));
      counts = outcome(day, await keptReadings(page), recorded);
      for (const note of day.notes.splice(0)) console.log(`  ${note}`);
      for (const sentence of counts.complaints.filter((one) => !told.has(one))) {
        told.add(sentence);
        console.log(`  ${sentence}`);
      }
      history.push({ minute: day.seconds / 60, memory: await memory.look() });
      printMinute(
        day,
        await day.rate(),
        history.at(-1)!,
        counts,
        (1e3 * day.seconds) / (performance.now() - begun),
      );
      if (minute >= minutes) break;
      await goOn(day, () => day.nextJob());
    }
    await board.damage(null);
    await page.reload();
    await page.waitForSelector('[data-screen]');
    const afterReload = outcome(day, await keptReadings(page), recorded);

    const { complaints } = browser;
    for (const complaint of complaints) console.log(`  the page complained: ${complaint}`);
    const flat = judgeMemory(history);
    const lost = Math.max(counts.lost, afterReload.lost);
    const wrong = Math.max(counts.found.false, afterReload.found.false);
    console.log(
      `${wrong} false readings of ${counts.found.true + counts.found.false}; ` +
        `${lost} firings lost of ${recorded.length} shown as recorded, looked for again after a reload; ` +
        `memory ${flat.words}${complaints.length > 0 ? `; ${complaints.length} complaints of the page` : ''}`,
    );
    return wrong === 0 && lost === 0 && flat.met && complaints.length === 0;
  } finally {
    await rig.close();
  }
}

/** A step of the run that failed is told and gone over, unless nothing works any more. */
async function goOn(day: BenchDay, step: () => Promise<void>): Promise<void> {
  try {
    await step();
    day.stumblesInARow = 0;
  } catch (error) {
    day.counts.stumbles++;
    day.notes.push(`stumbled: ${(error as Error).message.split('\n')[0]}`);
    if (++day.stumblesInARow >= MOST_STUMBLES) throw error;
  }
}

/** What has become of all firings so far. */
function outcome(day: BenchDay, kept: Awaited<ReturnType<typeof keptReadings>>, recorded: readonly string[]) {
  const found: Record<Finding, number> = { true: 0, false: 0, spoilt: 0, 'no time': 0 };
  const complaints: string[] = [];
  for (const { reading, finding, reason } of holdAgainstTruth(day.fired, kept)) {
    found[finding]++;
    if (finding === 'false') complaints.push(`false reading ${reading.id} at ${reading.mark}: ${reason}`);
  }
  const whole = new Set(kept.filter((reading) => reading.whole).map(({ id }) => id));
  const missing = recorded.filter((id) => !whole.has(id));
  complaints.push(...missing.map((id) => `recorded firing ${id} is missing, or its samples are`));
  return { kept: kept.length, found, lost: missing.length, complaints };
}

/** Objects and buffers each; a shorter run is compared with its own middle, while the recording still fills. */
function judgeMemory(history: readonly Minute[]): { met: boolean; words: string } {
  const last = history.at(-1)!;
  const settled = last.minute >= 2 * SETTLING_MINUTES ? SETTLING_MINUTES : last.minute / 2;
  const first = history.find(({ minute }) => minute >= settled)!;
  const growths = (['heap', 'buffers'] as const).map((kind) => ({
    kind,
    growth: last.memory[kind] / first.memory[kind],
    words: `${kind} ${first.memory[kind].toFixed(1)} to ${last.memory[kind].toFixed(1)} MB`,
  }));
  // Buffers fill for six minutes by design, so a short run can say nothing of them.
  const judged = last.minute >= 2 * SETTLING_MINUTES ? growths : growths.slice(0, 1);
  const met = judged.every(({ growth }) => growth <= MOST_GROWTH);
  const span = `from minute ${first.minute.toFixed(1)} to ${last.minute.toFixed(1)}`;
  return {
    met,
    words: `${met ? 'flat' : 'NOT FLAT'}: ${growths.map(({ words }) => words).join(', ')} ${span}`,
  };
}

const HEADINGS = [
  'minute',
  'fired',
  'kept',
  'measured',
  'spoilt',
  'no time',
  'unseen',
  'FALSE',
  'LOST',
  'damages',
  'dropped B',
  'pulls',
  'resets',
  'clicks',
  'stumbles',
  'heap MB',
  'buffers MB',
  'nodes',
  'listeners',
  'pace',
  'rate',
];

function printMinute(
  { board, counts }: BenchDay,
  rate: string,
  { minute, memory }: Minute,
  { kept, found, lost }: ReturnType<typeof outcome>,
  pace: number,
): void {
  printRow([
    minute.toFixed(1),
    board.firings.length,
    kept,
    found.true + found.false,
    found.spoilt,
    found['no time'],
    counts.unseen,
    found.false,
    lost,
    board.damages.length,
    counts.dropped,
    counts.pulls,
    counts.resets,
    counts.clicks,
    counts.stumbles,
    memory.heap.toFixed(2),
    memory.buffers.toFixed(1),
    memory.nodes,
    memory.listeners,
    pace.toFixed(2),
    rate,
  ]);
}

const printRow = (cells: readonly (string | number)[]) =>
  console.log(cells.map((cell, n) => String(cell).padStart(HEADINGS[n]!.length)).join('  '));

try {
  if (!(await soak())) process.exitCode = 1;
} catch (error) {
  console.error(error);
  process.exitCode = 1;
}
