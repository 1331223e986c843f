import { stops } from '../../firmware-protocol/units.ts';
import { judgedTime, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import { bandWords, signedStops } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import { bandOf, speedOf } from './actions/marks.ts';
import type { Reading } from './view.ts';

interface Props {
  readonly job: Job;
  readonly mark: string;
  /** Firings of this mark and stage, in the order of firing. */
  readonly readings: readonly Reading[];
}

const WIDTH = 760;
const HEIGHT = 84;
const LEFT = 64;
const RIGHT = 10;
const LABEL_HEIGHT = 13;

/** The firings of one mark, in the order they came, against the band. */
export function FiringStrip({ job, mark, readings }: Props) {
  const speed = speedOf(job, mark);
  const reference = speed && referenceTime(speed, job.referenceRule);
  if (!reference) return null;
  const band = bandOf(job, mark);
  const points = readings.flatMap((reading) => {
    const time = judgedTime(reading.figures);
    if (time === null) return [];
    const counts = whyNotCounted({ ...reading, firing: { spoilt: reading.spoilt } }) === null;
    return [{ id: reading.id, counts, error: errorInStops(time, reference) }];
  });
  // Twice the band at most: a firing far off stands as an arrow at the edge, and the band stays readable.
  const limit = Math.max(Math.abs(band.lower), Math.abs(band.upper));
  const farthest = Math.max(...points.map((p) => Math.abs(p.error)), 0);
  const span = limit * Math.min(2, Math.max(1.25, (farthest * 1.1) / limit));
  const y = (error: number) =>
    HEIGHT / 2 - (Math.max(-span, Math.min(span, error)) / span) * (HEIGHT / 2 - 8);
  // In a narrow band the labels would stand on each other: the upper limit's comes first.
  const apart = (a: number, b: number) => Math.abs(y(a) - y(b)) >= LABEL_HEIGHT;
  const hasRoom = (limit: number) =>
    limit === band.upper || (apart(limit, band.upper) && (limit === band.lower || apart(limit, band.lower)));
  const x = (i: number) => LEFT + 14 + (i * (WIDTH - LEFT - RIGHT - 28)) / Math.max(9, points.length - 1);
  return (
    <figure class="card strip">
      <svg
        class="across"
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={`${points.length} firings at ${mark} against ${bandWords(band)}: ${points
          .map((p) => signedStops(p.error))
          .join(', ')}`}
      >
        <rect
          x={LEFT}
          width={WIDTH - LEFT - RIGHT}
          y={y(band.upper)}
          height={y(band.lower) - y(band.upper)}
          fill="var(--band)"
        />
        {[band.upper, 0, band.lower].map((limit) => (
          <g key={limit}>
            <line
              x1={LEFT}
              x2={WIDTH - RIGHT}
              y1={y(limit)}
              y2={y(limit)}
              stroke={limit === 0 ? 'var(--ink)' : 'var(--green)'}
              stroke-dasharray={limit === 0 ? '' : '6 4'}
            />
            {hasRoom(limit) && (
              <text x={LEFT - 6} y={y(limit) + 4} text-anchor="end">
                {signedStops(stops(limit))}
              </text>
            )}
          </g>
        ))}
        {points.map((p, i) =>
          Math.abs(p.error) > span ? (
            <path
              key={p.id}
              d={
                p.error > 0
                  ? `M${x(i) - 6} ${y(p.error) + 4}l6 -10l6 10z`
                  : `M${x(i) - 6} ${y(p.error) - 4}l6 10l6 -10z`
              }
              fill={p.counts ? 'var(--orange)' : 'none'}
              stroke="var(--orange)"
              stroke-width="2"
            />
          ) : p.counts ? (
            <circle key={p.id} cx={x(i)} cy={y(p.error)} r="5" fill="var(--blue)" />
          ) : (
            <path
              key={p.id}
              d={`M${x(i) - 5} ${y(p.error) - 5}l10 10m0-10l-10 10`}
              stroke="var(--orange)"
              stroke-width="2.5"
            />
          ),
        )}
      </svg>
      <figcaption class="keys">
        <span>firings at {mark}, EV against the band</span>
        <span>● counted</span>
        <span>✕ not counted</span>
        <span>▲ ▼ beyond the strip</span>
      </figcaption>
    </figure>
  );
}
