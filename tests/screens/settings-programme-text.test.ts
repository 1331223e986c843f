import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { programmeText, readProgrammeText } from '../../app/screens/settings-programme-text.ts';

const problemsOf = (text: string) => {
  const read = readProgrammeText(text);
  return read.ok ? [] : read.problems;
};

describe('a programme as text', () => {
  it('is read as it was written', () => {
    const step = fc.record({
      mark: fc.constantFrom(...LEAF_SERIES.speeds.map(({ label }) => label)),
      firings: fc.integer({ min: 1, max: 100 }),
    });
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 20 }), (steps) => {
        expect(readProgrammeText(programmeText(steps))).toEqual({ ok: true, steps });
      }),
      { seed: 4 },
    );
  });

  it('takes marks as a ring may carry them, a sign for times, and empty lines', () => {
    expect(readProgrammeText('\n  1/60 × 3\n01/125  x 2\n\nb 1\n0.5 4')).toEqual({
      ok: true,
      steps: [
        { mark: '1/60', firings: 3 },
        { mark: '1/125', firings: 2 },
        { mark: 'B', firings: 1 },
        { mark: '0.5', firings: 4 },
      ],
    });
  });

  it('says of each line what is wrong with it', () => {
    expect(problemsOf('')).toEqual(['The programme has no steps.']);
    expect(problemsOf('1/60 3\n1/125\nfast 2\n1/30 0\n1/30 101')).toEqual([
      'Line 2: “1/125” needs a mark and a number of firings, as in “1/60 3”.',
      "Line 3: “fast” can't be read as a mark. Write 1/60, 2, 0.5, B or T.",
      'Line 4: the number of firings must lie between 1 and 100, not at 0.',
      'Line 5: the number of firings must lie between 1 and 100, not at 101.',
    ]);
  });
});
