/**
 * `npm run mutation`: small faults are planted in measure and judge, one at a time, and the tests of the two
 * rooms must notice. What they don't notice is listed, with the share they do.
 *
 *   npm run mutation                               every file: hours
 *   npm run mutation -- app/judge/series.ts …      these files or folders
 *
 * File by file, so that only the file in question is slowed by what is planted in it, and a run that was
 * broken off goes on where it was: results lie in build/mutation, and what has not changed since, nor its
 * tests, is not run again.
 */
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';

const ROOT = path.join(import.meta.dirname, '../..');
const FOLDER = 'build/mutation';
const REPORT = `${FOLDER}/report.json`;
/** Per cent of the faults that are to be noticed. */
const AIM = 85;

/** What is read of the report (schema "mutation-testing-report" 2). */
interface Mutant {
  readonly mutatorName: string;
  readonly replacement?: string;
  readonly status: string;
  readonly location: { readonly start: { readonly line: number; readonly column: number } };
}

interface Count {
  noticed: number;
  missed: number;
}

process.chdir(ROOT);
fs.mkdirSync(FOLDER, { recursive: true });

function sources(asked: readonly string[]): string[] {
  const within = asked.length > 0 ? asked : ['app/measure', 'app/judge'];
  return within.flatMap((name) =>
    fs.statSync(name).isFile()
      ? [name]
      : fs
          .readdirSync(name, { recursive: true, encoding: 'utf8' })
          .filter((file) => file.endsWith('.ts'))
          .map((file) => path.posix.join(name, file))
          .sort(),
  );
}

/** Null when the tests could not be run, or fail without any fault planted. */
function mutantsOf(file: string): readonly Mutant[] | null {
  fs.rmSync(REPORT, { force: true });
  const memory = `${FOLDER}/${file.replaceAll('/', '-')}.json`;
  const words = ['run', 'tests/mutation/stryker.config.json', '--mutate', file, '--incrementalFile', memory];
  const { stdout, stderr } = spawnSync('stryker', words, { encoding: 'utf8' });
  fs.appendFileSync(`${FOLDER}/runs.log`, `=== ${file}\n${stdout}${stderr}\n`);
  // No report is written of a file that holds only types.
  if (!fs.existsSync(REPORT)) return stdout.includes('with 0 mutant(s)') ? [] : null;
  const { files } = JSON.parse(fs.readFileSync(REPORT, 'utf8')) as {
    files: Record<string, { mutants: readonly Mutant[] }>;
  };
  return files[file]?.mutants ?? [];
}

const wordsOf = ({ noticed, missed }: Count) =>
  `${noticed} of ${noticed + missed} noticed (${((100 * noticed) / Math.max(1, noticed + missed)).toFixed(1)} %)`;

const total: Count = { noticed: 0, missed: 0 };
const failed: string[] = [];
for (const file of sources(process.argv.slice(2))) {
  const begun = performance.now();
  const mutants = mutantsOf(file);
  if (mutants === null) {
    failed.push(file);
    console.log(`${file}: no result, see ${FOLDER}/runs.log`);
    continue;
  }
  const missed = mutants.filter(({ status }) => status === 'Survived' || status === 'NoCoverage');
  const noticed = mutants.filter(({ status }) => status === 'Killed' || status === 'Timeout');
  if (noticed.length + missed.length === 0) continue; // types only
  total.noticed += noticed.length;
  total.missed += missed.length;
  const seconds = Math.round((performance.now() - begun) / 1000);
  console.log(`${file}: ${wordsOf({ noticed: noticed.length, missed: missed.length })}, ${seconds} s`);
  for (const { mutatorName, replacement, status, location } of missed) {
    const instead = (replacement ?? '').replaceAll(/\s+/g, ' ').slice(0, 100);
    const untested = status === 'NoCoverage' ? ' (no test comes by)' : '';
    console.log(`  ${location.start.line}:${location.start.column} ${mutatorName}${untested}: ${instead}`);
  }
}
console.log(`in all: ${wordsOf(total)}; wanted: ${AIM} %`);
if (failed.length > 0) console.log(`without a result: ${failed.join(', ')}`);
if (failed.length > 0 || total.noticed < (AIM / 100) * (total.noticed + total.missed)) process.exitCode = 1;
