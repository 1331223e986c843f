/**
 * `npm run long -- NAME [RUNS] …`: checks by so many seeded runs that they would hold up `npm test`. Each prints
 * its counts; the exit status is 1 when one falls short. Without a name all of them run.
 */
import { clockCheckRuns } from './clock-check-runs.ts';
import { commandByteRuns } from './command-byte-runs.ts';
import { damagedFileRuns } from './damaged-file-runs.ts';
import { damagedFrameRuns } from './damaged-frame-runs.ts';
import { fastRateRuns } from './fast-rate-runs.ts';
import { hiddenPageRuns } from './hidden-page-runs.ts';
import { stk500Runs } from './stk500-runs.ts';

interface LongCheck {
  /** Prints what it counts and answers whether that is enough. */
  readonly check: (runs: number) => boolean | Promise<boolean>;
  /** Unless another number is given. */
  readonly runs: number;
}

const CHECKS: Readonly<Record<string, LongCheck>> = {
  clock: { check: clockCheckRuns, runs: 1000 },
  files: { check: damagedFileRuns, runs: 5000 },
  /** Runs are minutes. */
  hidden: { check: hiddenPageRuns, runs: 10 },
  frames: { check: damagedFrameRuns, runs: 200_000 },
  /** Runs are emulated minutes. */
  'fast-rate': { check: fastRateRuns, runs: 10 },
  /** Runs are bytes. */
  commands: { check: commandByteRuns, runs: 200_000 },
  stk500: { check: stk500Runs, runs: 2000 },
};

const asked = process.argv
  .slice(2)
  .join(' ')
  .matchAll(/(\S+)(?: (\d+))?/g);
const wanted = [...asked].map(([, name, runs]) => ({
  name: name!,
  runs: runs === undefined ? null : Number(runs),
}));
const unknown = wanted.filter(({ name }) => !Object.hasOwn(CHECKS, name));
if (unknown.length > 0) {
  const names = unknown.map(({ name }) => name).join(', ');
  console.error(`No such check: ${names}. There is: ${Object.keys(CHECKS).join(', ')}.`);
  process.exitCode = 1;
} else {
  const all = Object.keys(CHECKS).map((name) => ({ name, runs: null }));
  for (const { name, runs } of wanted.length > 0 ? wanted : all) {
    console.log(`${name}:`);
    const { check, runs: usual } = CHECKS[name]!;
    if (!(await check(runs ?? usual))) process.exitCode = 1;
  }
}
