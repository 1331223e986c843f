/** All tests of a mutation run as one file, so that they are loaded once for all mutants. */
import fc from 'fast-check';
import { describe } from 'vitest';

// The first counterexample will do; to make it smaller takes longer than to find it.
fc.configureGlobal({ endOnFailure: true });

const loaders = import.meta.glob([
  '../measure/**/*.test.ts',
  '../judge/**/*.test.ts',
  '../outside/{iso516-shapes,series-and-stops,statistics-*,stopping-down,uncertainty}.test.ts',
  // They take long, and what they assert is a share of thousands of seeded runs.
  '!../measure/accuracy-limit.test.ts',
  '!../judge/coverage.test.ts',
  '!../judge/findings/{power,good-shutter}.test.ts',
]);

for (const [path, load] of Object.entries(loaders)) {
  describe(path, async () => {
    await load();
  });
}
