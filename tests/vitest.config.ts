import { defineConfig } from 'vitest/config';

/** Rooms without any state of their own: their test files may share one worker, which saves loading it anew for each. */
const PURE = [
  'boundaries',
  'certificate',
  'firmware-protocol',
  'judge',
  'measure',
  'outside',
  'practice',
  'whole',
];

const pure = PURE.map((room) => `tests/${room}/**/*.test.ts`);

/** Everything that runs in Node. The browser tests (tests/browser) have a configuration of their own. */
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    // The default leaves a core idle, which on a machine of two is half of it.
    maxWorkers: '100%',
    projects: [
      { extends: true, test: { name: 'pure', include: pure, isolate: false } },
      {
        extends: true,
        test: {
          name: 'others',
          include: ['tests/**/*.test.ts'],
          exclude: [...pure, 'tests/browser/**', 'node_modules/**'],
        },
      },
    ],
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
