/**
 * `npm run mutation`: small faults are planted in measure and judge, one at a time, and the tests of the two
 * rooms must notice. What they don't notice is listed, with the share they do.
 *
 *   npm run mutation                               judge, then measure: half an hour and more
 *   npm run mutation -- app/judge/series.ts …      these files or folders
 *   MUTATION_SHARE=0.2 npm run mutation -- …       a fifth of the faults, the same ones each time
 *
 * What the share leaves out, so that it can be had in this time:
 *
 * - Changed strings (StringLiteral): codes and verdicts are unions that the type check knows, and sentences
 *   are read, not mutated.
 * - Faults at work only while a module or a list of cases is built (ignoreStatic): constants, in the main.
 * - Tests that take many seeded runs or the emulated board; all-tests.ts names the ones that are run. Property-based
 *   tests stop at 15 runs (vitest.config.ts).
 * - More than 2.5 s of tests for one fault, the quickest first (one-load-runner.ts).
 *
 * The last two can only make the share smaller than it is.
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
/** Stryker loads a runner written in TypeScript. */
const WITH_TYPESCRIPT = { ...process.env, NODE_OPTIONS: '--import tsx' };

function sources(asked: readonly string[]): string[] {
  const within = asked.length > 0 ? asked : ['app/judge', 'app/measure'];
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

/** By file. Null when the tests could not be run, or fail without any fault planted. */
function mutantsOf(files: readonly string[]): Readonly<Record<string, readonly Mutant[]>> | null {
  fs.rmSync(REPORT, { force: true });
  const words = ['run', 'tests/mutation/stryker.config.json', '--mutate', files.join(',')];
  const { stdout, stderr } = spawnSync('stryker', words, { encoding: 'utf8', env: WITH_TYPESCRIPT });
  fs.appendFileSync(`${FOLDER}/runs.log`, `=== ${files.join(' ')}\n${stdout}${stderr}\n`);
  // No report is written of files that hold only types.
  if (!fs.existsSync(REPORT)) return stdout.includes('with 0 mutant(s)') ? {} : null;
  const report = JSON.parse(fs.readFileSync(REPORT, 'utf8')) as {
    files: Record<string, { mutants: readonly Mutant[] }>;
  };
  return Object.fromEntries(Object.entries(report.files).map(([file, { mutants }]) => [file, mutants]));
}

const wordsOf = ({ noticed, missed }: Count) =>
  `${noticed} of ${noticed + missed} noticed (${((100 * noticed) / Math.max(1, noticed + missed)).toFixed(1)} %)`;

const total: Count = { noticed: 0, missed: 0 };

function tell(file: string, mutants: readonly Mutant[]): void {
  const missed = mutants.filter(({ status }) => status === 'Survived' || status === 'NoCoverage');
  const noticed = mutants.filter(({ status }) => status === 'Killed' || status === 'Timeout');
  if (noticed.length + missed.length === 0) return; // types only
  total.noticed += noticed.length;
  total.missed += missed.length;
  console.log(`${file}: ${wordsOf({ noticed: noticed.length, missed: missed.length })}`);
  for (const { mutatorName, replacement, status, location } of missed) {
    const instead = (replacement ?? '').replaceAll(/\s+/g, ' ').slice(0, 100);
    const untested = status === 'NoCoverage' ? ' (no test comes by)' : '';
    console.log(`  ${location.start.line}:${location.start.column} ${mutatorName}${untested}: ${instead}`);
  }
}

/** So many at once: what is planted slows the files in question, and loading the tests takes its time too. */
const FILES_AT_ONCE = 12;

const files = sources(process.argv.slice(2));
const failed: string[] = [];
for (let at = 0; at < files.length; at += FILES_AT_ONCE) {
  const some = files.slice(at, at + FILES_AT_ONCE);
  const found = mutantsOf(some);
  if (found === null) {
    failed.push(...some);
    console.log(`${some.join(', ')}: no result, see ${FOLDER}/runs.log`);
    continue;
  }
  for (const [file, mutants] of Object.entries(found)) tell(file, mutants);
}
console.log(`in all: ${wordsOf(total)}; wanted: ${AIM} %`);
if (failed.length > 0) console.log(`without a result: ${failed.join(', ')}`);
if (failed.length > 0 || total.noticed < (AIM / 100) * (total.noticed + total.missed)) process.exitCode = 1;
