/**
 * Runs every check of the project, one named step after another, all of them even when one fails.
 * The last line counts: each test once, and each step that has no tests of its own once.
 */
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { readTestReport, type Tally } from './test-report.ts';

const ROOT = path.join(import.meta.dirname, '..');
process.chdir(ROOT);
process.env.PATH = `${path.join(ROOT, 'node_modules/.bin')}${path.delimiter}${process.env.PATH}`;

/** Groups that must have tests, so that a folder that moved away does not pass unseen. */
const GROUPS_IN_NODE = ['boundaries', 'outside', 'firmware', 'unit'];
const GROUPS_IN_BROWSER = ['browser'];

const steps: readonly { readonly name: string; readonly run: () => Tally }[] = [
  { name: 'set-up', run: () => command('bash', 'tests/set-up.sh') },
  { name: 'format', run: () => command('npm', 'run', '--silent', 'check:format') },
  { name: 'types', run: () => command('npm', 'run', '--silent', 'check:types') },
  { name: 'unused code', run: () => command('npm', 'run', '--silent', 'check:unused') },
  { name: 'build of the page', run: () => command('vite', 'build', '-c', 'app/vite.config.ts') },
  { name: 'tests in Node', run: () => tests('tests/vitest.config.ts', GROUPS_IN_NODE) },
  { name: 'tests in the browser', run: () => tests('tests/vitest.browser.config.ts', GROUPS_IN_BROWSER) },
];

function command(program: string, ...words: string[]): Tally {
  const { status, error } = spawnSync(program, words, { stdio: 'inherit' });
  if (error) console.log(String(error));
  return status === 0 ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 };
}

function tests(config: string, groups: readonly string[]): Tally {
  const report = path.join('build/test-reports', `${path.basename(config, '.ts')}.json`);
  fs.rmSync(report, { force: true });
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${report}`];
  const { status } = spawnSync('vitest', ['run', '--config', config, ...reporters], { stdio: 'inherit' });
  const text = fs.existsSync(report) ? fs.readFileSync(report, 'utf8') : null;
  const { tally, notes } = readTestReport(text, status, groups);
  for (const note of notes) console.log(note);
  return tally;
}

const results = steps.map(({ name, run }) => {
  console.log(`\n=== ${name}`);
  const started = performance.now();
  const tally = run();
  const seconds = (performance.now() - started) / 1000;
  console.log(`=== ${name}: ${tally.failed === 0 ? 'passed' : 'FAILED'} (${seconds.toFixed(1)} s)`);
  return { name, ...tally };
});

console.log('');
for (const { name, passed, failed } of results) {
  console.log(`${failed === 0 ? 'passed' : 'FAILED'}  ${name} (${passed} passed, ${failed} failed)`);
}
const sum = (key: 'passed' | 'failed') => results.reduce((total, result) => total + result[key], 0);
console.log(`${sum('passed')} passed, ${sum('failed')} failed`);
process.exitCode = sum('failed') === 0 ? 0 : 1;
