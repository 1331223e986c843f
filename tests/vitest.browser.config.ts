import { defineConfig } from 'vitest/config';

/** Tests that drive a real Chromium against the built page, one file after another. */
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/browser/**/*.test.ts'],
    testTimeout: 300_000,
    hookTimeout: 300_000,
    fileParallelism: false,
  },
});
