/** A simpler board on the real serial stack: it times edges, so the page gives the open time alone and says why. */
import { afterEach, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { EdgesBoard } from '../whole/edges-board.ts';
import { BenchPage } from './bench-page.ts';

let rig: Rig | null = null;
let beat: ReturnType<typeof setInterval> | null = null;
afterEach(async () => {
  if (beat) clearInterval(beat);
  await rig?.close();
});

const BEAT_MS = 10;

it('shows, counts and keeps open times, and says which figures are missing', async () => {
  rig = new Rig();
  const { origin } = await rig.servePage();
  const { line } = await rig.plugPort();
  const board = new EdgesBoard({ channels: 0b11 });
  line.on('opened', () => board.reset());
  line.on('bytes', (bytes: Uint8Array) => board.receive(bytes));
  beat = setInterval(() => {
    board.advance((board.tickHz * BEAT_MS) / 1000);
    line.write(board.takeBytes());
  }, BEAT_MS);

  const browser = await rig.launch(origin);
  const { page } = browser;
  const bench = new BenchPage(page, origin);
  await bench.newJob({ description: 'Camera of a test' });
  await bench.connectBoard();
  await bench.setMark('1/60');
  await expect.poll(() => bench.figure('verdict')).toContain('open times only');
  // 4200 ticks of 4 µs: 16.8 ms, on both channels; one release is one firing.
  for (const ticks of [4200, 4210, 4190]) {
    const before = await bench.shownId();
    board.expose(0, 1000, ticks);
    board.expose(1, 1000, ticks);
    await bench.waitForRecorded(before);
  }
  expect((await bench.table()).get('1/60')).toMatchObject({ n: '3', mean: '16.8 ms', error: '+0.011' });
  expect(await bench.figure('time')).toBe('16.8ms');
  expect(await page.textContent('.remarks')).toMatch(/open time/);
  const missing = (await page.textContent('.curve')) ?? '';
  for (const word of ['no curve', 'no effective time', 'no half-height time', 'no efficiency'])
    expect(missing).toContain(word);
  expect(await bench.kept()).toHaveLength(3);
  expect(browser.complaints).toEqual([]);
});
