import { defineConfig } from 'vitest/config';

/**
 * The tests that mutants of measure and judge have to pass: those of the two rooms and the published values
 * that concern them. Each mutant runs them again, so what needs the emulated board, papers or thousands of
 * seeded runs stays out.
 */
export default defineConfig({
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/measure/**/*.test.ts', 'tests/judge/**/*.test.ts', 'tests/outside/**/*.test.ts'],
    exclude: [
      'node_modules/**',
      'tests/measure/accuracy-limit.test.ts',
      'tests/judge/coverage.test.ts',
      'tests/outside/certificate-contents.test.ts',
      'tests/outside/crc-catalogue.test.ts',
      'tests/outside/emulated-chip.test.ts',
      'tests/outside/hardware-notes.test.ts',
      'tests/outside/practice-shutter.test.ts',
    ],
    // Mutated code is slow; what never ends is ended by the runner of the mutants.
    testTimeout: 600_000,
  },
});
