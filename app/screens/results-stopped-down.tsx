import { useState } from 'preact/hooks';
import type { MarkResult } from '../certificate/stage-results.ts';
import { DASH } from '../certificate/stops-text.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import { signedStops } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import type { FiringLine } from './results-firings.ts';
import { ResultsPicker } from './results-picker.tsx';
import { stopColumn, stoppedDownChart } from './results-stopped-down-chart.ts';
import { type AtStop, stoppedDownFigures } from './results-stopped-down-figures.ts';
import { useWidth } from './results-width.ts';

interface Props {
  readonly job: Job;
  readonly result: MarkResult;
  readonly stage: StageId;
  readonly lines: readonly FiringLine[];
}

/** How much longer the light lasts with the iris closed further, at one mark. */
export function StoppedDown({ job, result: { speed }, stage, lines }: Props) {
  const [down, setDown] = useState(1);
  const figures = job.profile.fromCentre ? stoppedDownFigures(lines) : [];
  const heading = <h2>Stopped down, at {speed.label}</h2>;
  if (figures.length === 0)
    return (
      <section class="card stopped-down" data-section="stopped down">
        {heading}
        <p class="quiet">
          {job.profile.fromCentre
            ? 'No counted firing here has a light curve to work it out from.'
            : 'Left out: the job says that this shutter does not uncover the opening from its centre, and only then does the recorded curve tell what a smaller iris would see.'}
        </p>
      </section>
    );
  const reference = referenceTime(speed, job.referenceRule);
  return (
    <section class="card stopped-down" data-section="stopped down">
      {heading}
      <p>
        The blades uncover a small iris sooner than the whole opening, so it sees the light longer. Worked out
        from the recorded curves: an upper estimate.
      </p>
      <Plot figures={figures} stage={stage} down={down} choose={setDown} />
      <table data-table="stopped down">
        <thead>
          <tr>
            <th scope="col">stops down</th>
            <th scope="col">time</th>
            <th scope="col">fraction</th>
            <th scope="col">against wide open</th>
            <th scope="col">error, EV</th>
          </tr>
        </thead>
        <tbody>
          {figures.map(({ down: stop, time, longer }) => (
            <tr key={stop} class={stop === down ? 'here' : ''}>
              <td>{stop === 0 ? 'wide open' : stop}</td>
              <td>{timeText(time)}</td>
              <td>{shutterFraction(time)}</td>
              <td>{stop === 0 ? DASH : `${signedStops(longer)} EV`}</td>
              <td>{reference === null ? DASH : signedStops(errorInStops(time, reference))}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const inWords = ({ down, time, longer }: AtStop): string =>
  down === 0
    ? `wide open: ${timeText(time)}`
    : `${down} ${down === 1 ? 'stop' : 'stops'} down: ${timeText(time)}, ${signedStops(longer)} EV against wide open`;

const PX_PER_UNIT = 1.9;
const HEIGHT = 200;

interface PlotProps {
  readonly figures: readonly AtStop[];
  readonly stage: StageId;
  readonly down: number;
  readonly choose: (down: number) => void;
}

function Plot({ figures, stage, down, choose }: PlotProps) {
  const [hovered, setHovered] = useState<number | null>(null);
  const [host, px] = useWidth<HTMLDivElement>(600);
  const width = px / PX_PER_UNIT;
  const height = HEIGHT / PX_PER_UNIT;
  const read = figures[hovered ?? down];
  return (
    <figure>
      <div class="drawing" ref={host}>
        <ChartDrawing
          primitives={stoppedDownChart(figures, stage, width, height)}
          width={width}
          height={height}
          description={`Effective time against wide open: ${figures.map(inWords).join('; ')}`}
        />
        <ResultsPicker
          label="Stops down: the arrow keys left and right read them"
          columns={figures.map((at, index) => {
            const { from, to } = stopColumn(width, figures.length, index);
            return { id: String(at.down), from: from / width, to: to / width, label: inWords(at) };
          })}
          chosen={String(down)}
          choose={(id) => choose(Number(id))}
          hover={(id) => setHovered(id === null ? null : Number(id))}
        />
      </div>
      <p class="read" aria-live="polite" data-read="stopped down">
        {read ? inWords(read) : ''}
      </p>
    </figure>
  );
}
