/**
 * `npm run long -- NAME …`: checks by so many seeded runs that they would hold up `npm test`. Each prints its
 * counts; the exit status is 1 when one falls short. Without a name all of them run.
 */
import { clockCheckRuns } from './clock-check-runs.ts';

/** Each prints what it counts and answers whether that is enough. */
const CHECKS: Readonly<Record<string, () => boolean>> = {
  clock: clockCheckRuns,
};

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !(name in CHECKS));
if (unknown.length > 0) {
  console.error(`No such check: ${unknown.join(', ')}. There is: ${Object.keys(CHECKS).join(', ')}.`);
  process.exitCode = 1;
} else {
  for (const name of asked.length > 0 ? asked : Object.keys(CHECKS)) {
    console.log(`${name}:`);
    if (!CHECKS[name]!()) process.exitCode = 1;
  }
}
