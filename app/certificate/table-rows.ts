/** The one table: a line for each mark, as found and as left beside each other. */

import { type Seconds, stops } from '../../firmware-protocol/units.ts';
import { referenceTime } from '../judge/error-in-stops.ts';
import type { ReferenceRule, Verdict } from '../judge/verdict.ts';
import { bandWords, signedStops, verdictWords } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import { STAGES } from '../record/job.ts';
import type { CertificateChart, CertificateRow, ChartReading, StageFigures } from './certificate.ts';
import type { MarkResult, StageResult } from './stage-results.ts';

/** Stands for a figure that could not be had. */
export const DASH = '–';

const BEYOND: ReadonlySet<Verdict> = new Set<Verdict>(['slow', 'fast', 'did not fire', 'stuck open']);

/** Rows of the marks that were touched in either stage, or of all marks of the series, in its order. */
export function tableRows(
  found: StageResult,
  left: StageResult,
  rule: ReferenceRule,
  which: 'touched' | 'all' = 'touched',
): readonly CertificateRow[] {
  return found.marks.flatMap((foundMark, index): CertificateRow[] => {
    const leftMark = left.marks[index]!;
    if (which === 'touched' && !foundMark.touched && !leftMark.touched) return [];
    const reference = referenceTime(foundMark.speed, rule);
    return [
      {
        mark: foundMark.speed.label,
        reference: timeOrDash(reference, timeText),
        referenceFraction: timeOrDash(reference, shutterFraction),
        band: reference === null ? DASH : bandWords(foundMark.band),
        stages: {
          'as found': stageFigures(foundMark, found.taken),
          'as left': stageFigures(leftMark, left.taken),
        },
      },
    ];
  });
}

const timeOrDash = (time: Seconds | null, format: (time: Seconds) => string) =>
  time === null ? DASH : format(time);

function stageFigures({ statistics, verdict, least }: MarkResult, taken: boolean): StageFigures {
  const { n, meanTime, meanError, sd } = statistics;
  return {
    n: taken ? String(n) : DASH,
    mean: timeOrDash(meanTime, timeText),
    fraction: timeOrDash(meanTime, shutterFraction),
    error: meanError === null ? DASH : signedStops(meanError),
    spread: sd === null ? DASH : sd.toFixed(2),
    verdict: taken ? verdictWords(verdict, statistics, least) : DASH,
    beyond: taken && BEYOND.has(verdict),
  };
}

/** The same marks as a chart, those without a time left out. */
export function chartContent(found: StageResult, left: StageResult): CertificateChart {
  const marks = found.marks.flatMap((foundMark, index) => {
    const leftMark = left.marks[index]!;
    if (foundMark.speed.marked === null || (!foundMark.touched && !leftMark.touched)) return [];
    return [
      {
        mark: foundMark.speed.label,
        lower: foundMark.band.lower,
        upper: foundMark.band.upper,
        stages: { 'as found': chartReading(foundMark), 'as left': chartReading(leftMark) },
        notes: { 'as found': chartNote(foundMark), 'as left': chartNote(leftMark) },
      },
    ];
  });
  const described = marks.map(({ mark, stages, notes }) => {
    const said = STAGES.flatMap((stage) => {
      const reading = stages[stage];
      const words = notes[stage] ?? (reading === null ? null : `${signedStops(stops(reading.error))} EV`);
      return words === null ? [] : [`${stage} ${words}`];
    });
    return `${mark}: ${said.join(', ')}`;
  });
  return {
    title: 'Error against marked speed',
    description: `Mean error of each mark. ${described.join('; ')}.`,
    marks,
  };
}

const chartReading = ({ statistics: { meanError, sd } }: MarkResult): ChartReading | null =>
  meanError === null ? null : { error: meanError, spread: sd };

const chartNote = ({ outcome, touched, verdict }: MarkResult): string | null =>
  touched && outcome !== null && outcome === verdict ? outcome : null;
