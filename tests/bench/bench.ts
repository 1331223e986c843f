/**
 * `npm run bench`: how fast the product is on this machine, beside what is expected of it. It asserts nothing:
 * a figure that falls short is reported and leaves the exit status at 0. Only a part that could not measure
 * gives 1.
 *
 *   --json       one JSON object on stdout instead of the table
 *   --only NAME  one part; may be given again
 */
import os from 'node:os';
import { parseArgs } from 'node:util';
import { measureBacklog } from './backlog.ts';
import { measureDecoder } from './decoder.ts';
import { type Figure, isMet, type Part } from './figure.ts';
import { measureJobs } from './jobs.ts';
import { measureMeasuring } from './measuring.ts';
import { measurePageLoad } from './page-load.ts';
import { measurePainted } from './painted.ts';
import { measurePlugToLive } from './plug-to-live.ts';
import { measurePracticeBoard } from './practice-board.ts';
import { rounded } from './rounds.ts';
import { measureStartPage } from './start-page.ts';
import { measureStatistics } from './statistics.ts';

const PARTS: Readonly<Record<string, Part>> = {
  backlog: measureBacklog,
  decoder: measureDecoder,
  jobs: measureJobs,
  measuring: measureMeasuring,
  'page-load': measurePageLoad,
  painted: measurePainted,
  'plug-to-live': measurePlugToLive,
  practice: measurePracticeBoard,
  'start-page': measureStartPage,
  statistics: measureStatistics,
};

interface Failure {
  readonly part: string;
  readonly reason: string;
}

function wanted(): { readonly json: boolean; readonly names: readonly string[] } {
  const { values } = parseArgs({
    options: { json: { type: 'boolean', default: false }, only: { type: 'string', multiple: true } },
  });
  const names = values.only ?? Object.keys(PARTS);
  for (const name of names) {
    if (!(name in PARTS)) throw new Error(`No part is called ${name}: ${Object.keys(PARTS).join(', ')}`);
  }
  return { json: values.json, names };
}

const load = () => os.loadavg().map((value) => Number(value.toFixed(2)));

async function bench(): Promise<void> {
  const { json, names } = wanted();
  const loadBefore = load();
  const figures: Figure[] = [];
  const failures: Failure[] = [];
  for (const part of names) {
    console.error(`${part} …`);
    try {
      figures.push(...(await PARTS[part]!()));
    } catch (error) {
      failures.push({
        part,
        reason: error instanceof Error ? (error.stack ?? error.message) : String(error),
      });
    }
  }
  const machine = {
    processors: os.cpus().length,
    processor: os.cpus()[0]?.model ?? 'unknown',
    node: process.version,
    loadBefore,
    loadAfter: load(),
  };
  const judged = figures.map((figure) => ({ ...figure, met: isMet(figure) }));
  if (json) console.log(JSON.stringify({ machine, figures: judged, failures }, null, 2));
  else {
    printTable(judged);
    console.log(`\n${machine.processors} × ${machine.processor}, Node ${machine.node}`);
    console.log(`load ${machine.loadBefore.join(' ')} before, ${machine.loadAfter.join(' ')} after`);
  }
  for (const { part, reason } of failures) console.error(`\n${part} could not be measured: ${reason}`);
  if (failures.length > 0) process.exitCode = 1;
}

function printTable(figures: readonly (Figure & { readonly met: boolean | null })[]): void {
  const rows = figures.map(({ quantity, value, unit, expectation, met, detail }) => [
    quantity,
    `${rounded(value)} ${unit}`,
    expectation === null ? '' : 'least' in expectation ? `≥ ${expectation.least}` : `≤ ${expectation.most}`,
    met === null ? '' : met ? 'met' : 'NOT MET',
    detail,
  ]);
  const table = [['quantity', 'value', 'expected', '', 'beside it'], ...rows];
  const widths = table[0]!.map((_, column) => Math.max(...table.map((row) => row[column]!.length)));
  for (const row of table)
    console.log(
      row
        .map((cell, column) => cell.padEnd(widths[column]!))
        .join('  ')
        .trimEnd(),
    );
}

await bench().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exitCode = 1;
});
