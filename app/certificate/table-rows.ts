/** The one table: a line for each mark, its stages beside each other. */

import { type Seconds, stops } from '../../firmware-protocol/units.ts';
import type { Verdict } from '../judge/verdict.ts';
import { bandWords, conformityWords, verdictWords } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import type { CertificateChart, CertificateRow, ChartReading, StageFigures } from './certificate.ts';
import type { MarkResult, StageResult } from './stage-results.ts';
import { DASH, errorText, expandedText, sizeText, uncertaintyText } from './stops-text.ts';

const BEYOND: ReadonlySet<Verdict> = new Set<Verdict>([
  'slow',
  'fast',
  'conditional slow',
  'conditional fast',
  'did not fire',
  'stuck open',
]);

/** Rows of the marks that were touched at any of these stages, or of all marks of the series, in its order. */
export function tableRows(
  results: readonly StageResult[],
  { bandUnit }: Pick<Job, 'bandUnit'>,
  which: 'touched' | 'all' = 'touched',
): readonly CertificateRow[] {
  const [first] = results;
  if (first === undefined) return [];
  return first.marks.flatMap(({ speed, reference, band }, index): CertificateRow[] => {
    if (which === 'touched' && !results.some(({ marks }) => marks[index]!.touched)) return [];
    return [
      {
        mark: speed.label,
        reference: timeOrDash(reference, timeText),
        referenceFraction: timeOrDash(reference, shutterFraction),
        band: reference === null ? DASH : bandWords(band, bandUnit),
        stages: byStage(results, NO_FIGURES, ({ marks, taken }) => stageFigures(marks[index]!, taken)),
      },
    ];
  });
}

/** What `of` makes of each result, and `missing` for the stages that have none. */
function byStage<Words>(
  results: readonly StageResult[],
  missing: Words,
  of: (result: StageResult) => Words,
): { readonly [stage in StageId]: Words } {
  const at = (stage: StageId) => {
    const result = results.find((one) => one.stage === stage);
    return result === undefined ? missing : of(result);
  };
  return {
    'as found': at('as found'),
    trials: at('trials'),
    'after rest': at('after rest'),
    'as left': at('as left'),
  };
}

const NO_FIGURES: StageFigures = {
  n: DASH,
  mean: DASH,
  fraction: DASH,
  error: DASH,
  uncertainty: DASH,
  spread: DASH,
  repeats: '',
  verdict: DASH,
  conformity: DASH,
  beyond: false,
};

const timeOrDash = (time: Seconds | null, format: (time: Seconds) => string) =>
  time === null ? DASH : format(time);

function stageFigures(result: MarkResult, taken: boolean): StageFigures {
  const { statistics, budget, verdict, judgement } = result;
  const { n, meanTime, meanError, sd } = statistics;
  return {
    n: taken ? String(n) : DASH,
    mean: timeOrDash(meanTime, timeText),
    fraction: timeOrDash(meanTime, shutterFraction),
    error: meanError === null ? DASH : errorText(meanError, budget),
    uncertainty: budget === null ? DASH : uncertaintyText(budget),
    spread: sd === null ? DASH : sizeText(sd),
    repeats: taken ? repeatsText(result) : '',
    verdict: taken ? verdictText(result) : DASH,
    conformity: judgement.conformity === null ? DASH : conformityWords(judgement.conformity),
    beyond: taken && BEYOND.has(verdict),
  };
}

/** As verdictWords, but in a table what can't be decided has to be said in a few words. */
function verdictText({ verdict, statistics, least, judgement: { firingsNeeded } }: MarkResult): string {
  if (verdict !== 'undecided') return verdictWords(verdict, statistics, least, firingsNeeded);
  return firingsNeeded === null
    ? 'undecided at any number of firings'
    : `undecided, ${statistics.n} of at least ${firingsNeeded} firings`;
}

/** A limit says nothing of a mark that gave no reading: there the outcome stands alone. */
const repeatsText = ({ judgement: { spread }, statistics: { n } }: MarkResult): string =>
  spread === 'no limit' || n === 0 ? '' : spread;

/** The touched marks as a chart, those without a time left out. */
export function chartContent(results: readonly StageResult[]): CertificateChart {
  const shown = results.map(({ stage }) => stage);
  const marks = (results[0]?.marks ?? []).flatMap(({ speed, band }, index) => {
    if (speed.marked === null || !results.some((result) => result.marks[index]!.touched)) return [];
    return [
      {
        mark: speed.label,
        lower: band.lower,
        upper: band.upper,
        stages: byStage(results, null, (result) => chartReading(result.marks[index]!)),
        notes: byStage(results, null, (result) => chartNote(result.marks[index]!)),
      },
    ];
  });
  const described = marks.map(({ mark, stages, notes }) => {
    const said = shown.flatMap((stage) => {
      const reading = stages[stage];
      const words = notes[stage] ?? (reading === null ? null : readingWords(reading));
      return words === null ? [] : [`${stage} ${words}`];
    });
    return `${mark}: ${said.join(', ')}`;
  });
  return {
    title: 'Error against marked speed',
    description: `Mean error of each mark. ${described.join('; ')}.`,
    stages: shown,
    marks,
  };
}

function chartReading({ statistics: { meanError }, budget }: MarkResult): ChartReading | null {
  if (meanError === null) return null;
  const interval =
    budget === null
      ? null
      : { lower: stops(meanError - budget.expanded), upper: stops(meanError + budget.expanded) };
  return { error: meanError, interval };
}

function readingWords({ error, interval }: ChartReading): string {
  const expanded = interval === null ? null : stops((interval.upper - interval.lower) / 2);
  const uncertainty = expanded === null ? '' : ` ± ${expandedText(expanded)}`;
  return `${errorText(stops(error), expanded === null ? null : { expanded })}${uncertainty} EV`;
}

const chartNote = ({ outcome, touched, verdict }: MarkResult): string | null =>
  touched && outcome !== null && outcome === verdict ? outcome : null;
