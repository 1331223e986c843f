import { defineConfig } from 'vitest/config';

/** Everything that runs in Node. The browser tests (tests/browser) have a configuration of their own. */
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**', 'node_modules/**'],
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // The default leaves a core idle, which on a machine of two is half of it.
    maxWorkers: '100%',
  },
});
