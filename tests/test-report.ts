import path from 'node:path';

export interface Tally {
  readonly passed: number;
  readonly failed: number;
}

/** The part of vitest's JSON report that counts here. */
interface Report {
  readonly testResults: readonly {
    readonly name: string;
    readonly status: string;
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

/**
 * Counts the tests of one vitest run. These count as failed besides the failed tests: a test that was
 * skipped or left to do, a file without a test or that broke outside of its tests, a group of `groups`
 * without a test, and a run that ended badly for a reason that no test shows.
 *
 * Group 'firmware' is the folder tests/firmware or tests/firmware-…, and so on; 'unit' is all other folders.
 */
export function readTestReport(
  text: string | null,
  exitStatus: number | null,
  groups: readonly string[],
): { tally: Tally; notes: string[] } {
  if (text === null) return { tally: { passed: 0, failed: 1 }, notes: ['vitest left no report'] };
  const tallies = new Map(groups.map((group) => [group, { passed: 0, failed: 0 }]));
  const faults: string[] = [];

  for (const file of (JSON.parse(text) as Report).testResults) {
    const folder = path.relative(import.meta.dirname, file.name).split(path.sep)[0] ?? '';
    const group = groups.find((name) => folder === name || folder.startsWith(`${name}-`)) ?? 'unit';
    const tally = tallies.get(group) ?? fail(`No group for ${file.name}`);
    const results = file.assertionResults;
    for (const { status, fullName } of results) {
      if (status === 'passed') tally.passed += 1;
      else tally.failed += 1;
      if (status !== 'passed' && status !== 'failed') faults.push(`${status}: ${file.name} ${fullName}`);
    }
    if (
      results.length === 0 ||
      (file.status === 'failed' && results.every((test) => test.status === 'passed'))
    ) {
      tally.failed += 1;
      faults.push(`broke outside of its tests, or has none: ${file.name}`);
    }
  }

  for (const [group, tally] of tallies) {
    if (tally.passed + tally.failed > 0) continue;
    tally.failed = 1;
    faults.push(`no tests at all: ${group}`);
  }
  const all = [...tallies.values()];
  const passed = all.reduce((sum, tally) => sum + tally.passed, 0);
  let failed = all.reduce((sum, tally) => sum + tally.failed, 0);
  if (exitStatus !== 0 && failed === 0) {
    failed = 1;
    faults.push(`vitest ended with status ${exitStatus} although every test passed`);
  }
  const counts = [...tallies].map(
    ([group, tally]) => `${group}: ${tally.passed} passed, ${tally.failed} failed`,
  );
  return { tally: { passed, failed }, notes: [...faults, ...counts] };
}

function fail(message: string): never {
  throw new Error(message);
}
