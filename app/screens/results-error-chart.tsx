import { useState } from 'preact/hooks';
import { errorChart, marksSpan } from '../certificate/chart.ts';
import type { StageResult } from '../certificate/stage-results.ts';
import { chartContent } from '../certificate/table-rows.ts';
import type { Job, StageId } from '../record/job.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import { Glyph } from './glyphs.tsx';
import { type MarkFigures, markFigures } from './results-figures.ts';
import { ResultsPicker } from './results-picker.tsx';
import { StageSign } from './results-stage-sign.tsx';
import { ResultsTable } from './results-table.tsx';
import { useWidth } from './results-width.ts';

interface Props {
  readonly job: Job;
  /** The stages that stand beside each other, in the order of the work. */
  readonly results: readonly StageResult[];
  readonly mark: string;
  readonly stage: StageId;
  readonly choose: (mark: string, stage?: StageId) => void;
}

/** Lettering of the chart is 7 units; so many px to a unit make it legible from a distance. */
const PX_PER_UNIT = 2;

/** Error against marked speed with the values of the mark looked at, and the table whose columns stand under it. */
export function ErrorChart({ job, results, mark, stage, choose }: Props) {
  const [hovered, setHovered] = useState<string | null>(null);
  const [host, px] = useWidth<HTMLDivElement>(1200);
  const taken = results.filter((one) => one.taken).map((one) => one.stage);
  const content = chartContent(results);
  const width = px / PX_PER_UNIT;
  // Both stages in the table leave less height to the chart, if all of it is to stand in one view.
  const height = (px < 1000 ? 300 : taken.length > 1 ? 244 : 360) / PX_PER_UNIT;
  const span = marksSpan(width);
  const pitch = (span.right - span.left) / content.marks.length;
  const all = markFigures(job, results);
  const columns = content.marks.flatMap(({ mark: label }) => all.filter((one) => one.mark === label));
  const read = all.find((one) => one.mark === (hovered ?? mark)) ?? null;
  return (
    <section class="card error-chart" aria-label={content.title}>
      <h1>{content.title}</h1>
      <Readout read={read} mark={hovered ?? mark} stages={taken} />
      <div class="drawing" ref={host}>
        <ChartDrawing
          primitives={errorChart(content, width, height)}
          width={width}
          height={height}
          description={content.description}
        />
        {content.marks.length > 0 && (
          <ResultsPicker
            label="Marks: the arrow keys left and right read them"
            columns={columns.map((one, index) => ({
              id: one.mark,
              from: (span.left + index * pitch) / width,
              to: (span.left + (index + 1) * pitch) / width,
              label: [
                one.mark,
                ...taken.flatMap((s) => (one.figures[s] ? [`${s}: ${one.figures[s].sentence}`] : [])),
              ].join('; '),
            }))}
            chosen={mark}
            choose={choose}
            hover={setHovered}
          />
        )}
      </div>
      <ResultsTable
        columns={columns}
        stages={taken}
        mark={mark}
        stage={stage}
        choose={choose}
        head={span.left / width}
        tail={(width - span.right) / width}
      />
      {all
        .filter(({ mark: label }) => content.marks.every((one) => one.mark !== label))
        .map((one) => (
          <p key={one.mark} class="apart">
            <button type="button" class="small" onClick={() => choose(one.mark)}>
              {one.mark}
            </button>{' '}
            {taken.flatMap((s) => (one.figures[s] ? [`${s}: ${one.figures[s].sentence}`] : [])).join('; ')}
          </p>
        ))}
    </section>
  );
}

interface ReadoutProps {
  readonly read: MarkFigures | null;
  readonly mark: string;
  readonly stages: readonly StageId[];
}

/** The values of one mark in words, large. */
function Readout({ read, mark, stages }: ReadoutProps) {
  return (
    <div class="readout" aria-live="polite" data-readout={mark}>
      <strong>{mark}</strong>
      <div>
        {stages.map((stage) => {
          const figures = read?.figures[stage] ?? null;
          return (
            <p key={stage}>
              <StageSign stage={stage} /> <span class="quiet">{stage}</span>{' '}
              {figures === null ? (
                <span class="quiet">not tried</span>
              ) : (
                <span class={figures.erratic && figures.tone === 'within' ? '' : figures.tone}>
                  <Glyph sign={figures.sign} /> {figures.sentence}
                </span>
              )}
            </p>
          );
        })}
      </div>
    </div>
  );
}
