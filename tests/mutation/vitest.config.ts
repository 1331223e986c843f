import { defineConfig } from 'vitest/config';

/** Most runs of a property-based test; a mutant that only many more would notice counts as missed. */
const MOST_RUNS = 15;

export default defineConfig({
  plugins: [
    {
      name: 'fewer-runs',
      enforce: 'pre',
      transform: (code, id) =>
        id.includes('/tests/')
          ? code.replaceAll(
              /numRuns: (\d+)/g,
              (_, runs: string) => `numRuns: ${Math.min(Number(runs), MOST_RUNS)}`,
            )
          : null,
    },
    {
      // Stryker's counters of what is run through stand in every expression. They are needed once only.
      name: 'count-in-first-run-only',
      transform: (code, id) =>
        id.includes('/app/')
          ? code.replaceAll('function cover() {', 'function cover() { if (ns.counted) return;')
          : null,
    },
  ],
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/mutation/all-tests.ts'],
    runner: 'tests/mutation/kept-tests.ts',
    pool: 'threads',
    maxWorkers: 1,
    // What never ends is ended by Stryker.
    testTimeout: 600_000,
  },
});
