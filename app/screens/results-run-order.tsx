import { useState } from 'preact/hooks';
import type { MarkResult } from '../certificate/stage-results.ts';
import { errorText } from '../certificate/stops-text.ts';
import { bandWords } from '../judge/verdict-words.ts';
import type { Job, StageId } from '../record/job.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import { intervalWords } from './results-figures.ts';
import { type FiringLine, firingSentence } from './results-firings.ts';
import { ResultsPicker } from './results-picker.tsx';
import { runColumn, runOrderChart, runOrderWords } from './results-run-order-chart.ts';
import { useWidth } from './results-width.ts';

interface Props {
  readonly job: Job;
  readonly result: MarkResult;
  readonly stage: StageId;
  readonly lines: readonly FiringLine[];
  readonly chosen: string | null;
  readonly choose: (id: string) => void;
}

const PX_PER_UNIT = 1.9;
const HEIGHT = 210;

/** The firings of a mark in the order they came, against the band, their mean and its interval. */
export function RunOrder({ job, result, stage, lines, chosen, choose }: Props) {
  const [hovered, setHovered] = useState<string | null>(null);
  const [host, px] = useWidth<HTMLDivElement>(700);
  const { speed, statistics, band } = result;
  if (speed.marked === null)
    return (
      <p class="card quiet">{speed.label} has no time to compare with; the table gives its open times.</p>
    );
  const width = px / PX_PER_UNIT;
  const run = {
    stage,
    band,
    mean: statistics.meanError,
    interval: statistics.meanInterval,
    points: lines.map(({ id, ordinal, error, why, suspect }) => ({
      ordinal,
      error,
      counts: why === null,
      suspect,
      chosen: id === chosen,
    })),
  };
  const read = lines.find(({ id }) => id === (hovered ?? chosen)) ?? null;
  return (
    <figure class="card run-order">
      <h2>Firings at {speed.label} in their order</h2>
      <div class="drawing" ref={host}>
        <ChartDrawing
          primitives={runOrderChart(run, width, HEIGHT / PX_PER_UNIT)}
          width={width}
          height={HEIGHT / PX_PER_UNIT}
          description={runOrderWords(run)}
        />
        <ResultsPicker
          label="Firings: the arrow keys left and right read them"
          columns={lines.map((line, index) => {
            const { from, to } = runColumn(width, lines.length, index);
            return { id: line.id, from: from / width, to: to / width, label: firingSentence(line) };
          })}
          chosen={chosen}
          choose={choose}
          hover={setHovered}
        />
      </div>
      <p class="read" aria-live="polite" data-read="run order">
        {read ? capital(firingSentence(read)) : ''}
      </p>
      <figcaption class="keys">
        {statistics.meanError !== null && (
          <span>mean {errorText(statistics.meanError, result.budget)} EV</span>
        )}
        {statistics.meanInterval && <span>95 % {intervalWords(statistics.meanInterval)}</span>}
        <span>band {bandWords(band, job.bandUnit)}</span>
      </figcaption>
    </figure>
  );
}

const capital = (sentence: string) => sentence.charAt(0).toUpperCase() + sentence.slice(1);
