import { expect, it } from 'vitest';
import { stageFindings } from '../../app/certificate/stage-findings.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import { NO_FIGURES } from '../../app/measure/figures.ts';
import { inventedFigures, inventedFiring, inventedJob } from './invented-job.ts';

const job = inventedJob();

function codesOf(firings: ReturnType<typeof inventedFiring>[]): readonly string[] {
  return stageFindings(job.profile, stageResult(job, firings, 'as found')).map(({ code }) => code);
}

const heldOpen = (ordinal: number, setAside: string | null) => {
  const figures = { ...NO_FIGURES, remarks: [{ code: 'never closed' as const, value: 90 }] };
  return inventedFiring('as found', 'B', ordinal, figures, { setAside });
};

it('firings at B that never closed are a finding, until the user sets them aside', () => {
  expect(codesOf([heldOpen(1, null), heldOpen(2, null)])).toEqual(['B or T hangs']);
  expect(codesOf([heldOpen(1, 'held on purpose'), heldOpen(2, 'held on purpose')])).toEqual([]);
});

it('light after closing in firings that are set aside is no habit of the blades', () => {
  const glowing = (ordinal: number, setAside: string | null) =>
    inventedFiring(
      'as found',
      '1/60',
      ordinal,
      inventedFigures(1 / 60, { remarks: [{ code: 'glow after closing', value: 0.03 }] }),
      { setAside },
    );
  expect(codesOf([1, 2, 3].map((n) => glowing(n, null)))).toEqual(['steady glow']);
  expect(codesOf([1, 2, 3].map((n) => glowing(n, 'window open')))).toEqual([]);
});
