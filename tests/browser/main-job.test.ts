/**
 * The main job on the real serial stack: the built page in real Chromium, its own navigator.serial, the real
 * firmware in an emulated board. Ten speeds, five firings each; page, PDF and the known light must agree.
 */
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { BenchPage, type KeptFiring } from './bench-page.ts';

const MARKS: readonly (readonly [label: string, seconds: number])[] = [
  ['1', 1],
  ['1/2', 1 / 2],
  ['1/4', 1 / 4],
  ['1/8', 1 / 8],
  ['1/15', 1 / 15],
  ['1/30', 1 / 30],
  ['1/60', 1 / 60],
  ['1/125', 1 / 125],
  ['1/250', 1 / 250],
  ['1/500', 1 / 500],
];
const FIRINGS = 5;

const rig = new Rig();
let board: Board;
let browser: Browser;
let bench: BenchPage;
const truths = new Map<string, TrueFiring[]>();
let kept: Map<string, KeptFiring>;
const ids: { id: string; truth: TrueFiring }[] = [];
let table: Map<string, Record<string, string>>;
let pdfText: string;
let pdfFile: string;

beforeAll(async () => {
  const server = await rig.servePage();
  board = await rig.startBoard({ seed: 20261125 });
  await board.plug();
  browser = await rig.launch(server.origin);
  bench = new BenchPage(browser.page, server.origin);
  await bench.newJob({
    customer: 'Customer of a Test',
    description: 'Folding camera of a test',
    bodySerial: 'B-1',
    shutterSerial: 'S-2',
    lensSerial: 'L-3',
  });
  await bench.open('settings');
  await bench.fill({ workshop: 'Workshop of a Test (invented)', signatory: 'A. Tester' });
  await bench.connectBoard();
  await bench.setStage('as left');
  for (const [mark] of MARKS) {
    await board.setDial(mark);
    await bench.setMark(mark);
    const series: TrueFiring[] = [];
    for (let i = 0; i < FIRINGS; i++) {
      const fired = await bench.fire(board);
      ids.push(fired);
      series.push(fired.truth);
    }
    truths.set(mark, series);
  }
  table = await bench.table();
  kept = new Map((await bench.kept()).map((firing) => [firing.id, firing]));
  const download = await bench.savePdf();
  pdfFile = path.join(rig.directory, download.suggestedFilename());
  await download.saveAs(pdfFile);
  pdfText = execFileSync('pdftotext', ['-layout', pdfFile, '-'], { encoding: 'utf8' });
});

afterAll(() => rig.close());

/** 5 µs and 0.02 % of the exact integral. */
const tolerance = (exact: number) => 5e-6 + 2e-4 * exact;

describe('the main job', () => {
  it('measures each firing within 5 µs + 0.02 % of the known light', () => {
    expect(ids).toHaveLength(MARKS.length * FIRINGS);
    for (const { id, truth } of ids) {
      const figures = kept.get(id)?.figures;
      const exact = truth.effectiveTime;
      expect(figures?.effective, `${truth.mark}`).toBeTypeOf('number');
      expect(
        Math.abs(figures!.effective! - exact),
        `${truth.mark}: ${figures!.effective} for ${exact}`,
      ).toBeLessThan(tolerance(exact));
    }
  });

  it('shows the statistics that the known light gives', () => {
    for (const [mark, reference] of MARKS) {
      const logs = truths.get(mark)!.map((truth) => Math.log2(truth.effectiveTime));
      const mean = logs.reduce((sum, log) => sum + log, 0) / FIRINGS;
      const sd = Math.sqrt(logs.reduce((sum, log) => sum + (log - mean) ** 2, 0) / (FIRINGS - 1));
      const row = table.get(mark)!;
      expect(row.n).toBe(String(FIRINGS));
      const slack = tolerance(2 ** mean) / 2 ** mean / Math.LN2;
      const shown = Number(row.error!.replace('−', '-'));
      expect(Math.abs(shown - (mean - Math.log2(reference))), `error at ${mark}`).toBeLessThan(0.005 + slack);
      expect(Math.abs(Number(row.spread) - sd), `spread at ${mark}`).toBeLessThan(0.005 + 2 * slack);
      const [figure, unit] = row.mean!.split(' ');
      const time = Number(figure) * (unit === 'ms' ? 1e-3 : 1);
      // Three significant digits: half a step of the last one, at most 0.5 %.
      expect(Math.abs(time - 2 ** mean), `mean at ${mark}`).toBeLessThan(tolerance(time) + 0.005 * time);
      const expected = Math.abs(mean - Math.log2(reference)) <= 0.5 ? 'within' : 'stop';
      expect(row.verdict).toContain(expected);
    }
  });

  it('prints on paper exactly what stands on the page', () => {
    const lines = pdfText.split('\n').map((line) => line.trim().split(/\s{2,}/));
    for (const [mark] of MARKS) {
      const row = table.get(mark)!;
      // The line with all figures; the first page has a plainer one.
      const printed = lines.filter((words) => words[0] === mark).map((words) => words.join(' '));
      const cells = ['n', 'mean', 'error', 'spread', 'verdict'].map((cell) => row[cell]!);
      expect(
        printed.some((line) => cells.every((cell) => line.includes(cell))),
        `${cells.join(', ')} at ${mark} in ${printed.join(' | ')}`,
      ).toBe(true);
    }
    for (const words of ['Workshop of a Test', 'Customer of a Test', 'B-1', 'S-2', 'L-3', 'A. Tester'])
      expect(pdfText).toContain(words);
    expect(pdfText).toMatch(/not an accredited|no accredited/i);
    expect(pdfText).toMatch(/Page 1 of \d/);
  });

  it('writes a PDF that qpdf finds no fault in', () => {
    expect(execFileSync('qpdf', ['--check', pdfFile], { encoding: 'utf8' })).toContain(
      'No syntax or stream encoding errors',
    );
  });

  it('keeps the samples of every firing, speaks to no other address and complains of nothing', () => {
    for (const firing of kept.values()) expect(firing.samplesKept).toBe(firing.firing.sampleCount);
    expect(browser.foreignRequests).toEqual([]);
    expect(browser.complaints).toEqual([]);
  });
});
