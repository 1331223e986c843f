/** A programme as the user writes it: a step a line, the mark and how many firings, '1/60 3'. */
import { readOwnSeries } from '../judge/own-series.ts';
import type { ProgrammeStep } from '../judge/programme.ts';

export type ReadProgramme =
  | { readonly ok: true; readonly steps: readonly ProgrammeStep[] }
  | { readonly ok: false; readonly problems: readonly string[] };

const MOST_FIRINGS = 100;

export const programmeText = (steps: readonly ProgrammeStep[]): string =>
  steps.map(({ mark, firings }) => `${mark} ${firings}`).join('\n');

/** Empty lines are passed over; every other line is read or is a problem: nothing is guessed. */
export function readProgrammeText(text: string): ReadProgramme {
  const steps: ProgrammeStep[] = [];
  const problems: string[] = [];
  text.split('\n').forEach((line, index) => {
    if (line.trim() === '') return;
    const step = readStep(line.trim());
    if (typeof step === 'string') problems.push(`Line ${index + 1}: ${step}`);
    else steps.push(step);
  });
  if (steps.length === 0 && problems.length === 0) problems.push('The programme has no steps.');
  return problems.length > 0 ? { ok: false, problems } : { ok: true, steps };
}

function readStep(line: string): ProgrammeStep | string {
  const parts = /^(\S+)\s+[×x]?\s*(\d+)$/i.exec(line);
  if (!parts) return `“${line}” needs a mark and a number of firings, as in “1/60 3”.`;
  const mark = readOwnSeries(parts[1]!);
  if (!mark.ok) return mark.problems[0]!.sentence;
  const firings = Number(parts[2]);
  if (firings < 1 || firings > MOST_FIRINGS)
    return `the number of firings must lie between 1 and ${MOST_FIRINGS}, not at ${firings}.`;
  return { mark: mark.series.speeds[0]!.label, firings };
}
