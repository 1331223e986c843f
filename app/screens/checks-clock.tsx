import { useEffect, useState } from 'preact/hooks';
import type { ClockPoints } from '../link/clock-check.ts';
import { clockPoints, restartClockCheck } from './actions/clock-comparison.ts';
import { clockWords } from './mark-line.tsx';
import { useView } from './view.ts';

const REFRESH_MS = 2000;

/** The board's clock against the computer's: runs in the background as long as a board is connected. */
export function ClockCard({ live }: { live: boolean }) {
  const clock = useView((v) => v.clock);
  const points = useClockPoints(live);
  const seconds = points?.seconds.at(-1) ?? 0;
  return (
    <section class="card" aria-label="Clock check" data-card="clock">
      <h2>Clock check</h2>
      <p data-clock={clock === null ? 'none' : clock.ppm.toFixed(1)}>
        {capital(clockWords(clock))}.
        {clock !== null && (
          <span class="quiet">
            {' '}
            Compared over {clock.observedSeconds.toFixed(0)} s; the readings are corrected for it.
          </span>
        )}
        {clock === null && live && (
          <span class="quiet">
            {' '}
            {seconds.toFixed(0)} s seen; half a minute is wanted, a few minutes are better. Until then the
            resonator’s limits apply.
          </span>
        )}
      </p>
      {points && points.seconds.length > 1 && <ClockPlot points={points} />}
      <p class="quiet">
        Messages from the board come late, never early: the line lies along the earliest. The computer’s own
        clock (±100 ppm) and the warming of the resonator are lines of the budget.
      </p>
      <button type="button" disabled={!live} onClick={restartClockCheck}>
        Begin the comparison anew
      </button>
    </section>
  );
}

const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);

function useClockPoints(live: boolean): ClockPoints | null {
  const [points, setPoints] = useState<ClockPoints | null>(null);
  useEffect(() => {
    const look = () => setPoints(live ? clockPoints() : null);
    look();
    const timer = setInterval(look, REFRESH_MS);
    return () => clearInterval(timer);
  }, [live]);
  return points;
}

const WIDTH = 560;
const HEIGHT = 150;
const LEFT = 56;
const BOTTOM = 26;

/**
 * How late each stretch's earliest message came: against the fitted line if there is one, since the board's
 * error alone would make it too steep to see the scatter; else against the board's nominal clock.
 */
function ClockPlot({ points: { seconds, lateness, line } }: { points: ClockPoints }) {
  const end = seconds.at(-1)!;
  const begin = seconds[0]!;
  const late = line ? lateness.map((ms, i) => ms - line[i]!) : lateness;
  const low = Math.min(...late, line ? 0 : Number.POSITIVE_INFINITY);
  const high = Math.max(...late, low + 0.5);
  const x = (s: number) => LEFT + ((s - begin) / Math.max(end - begin, 1)) * (WIDTH - LEFT - 10);
  const y = (ms: number) => 8 + ((high - ms) / (high - low)) * (HEIGHT - BOTTOM - 16);
  return (
    <svg
      class="across"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label={`Lateness of the board's messages over ${(end - begin).toFixed(0)} s: ${low.toFixed(2)} to ${high.toFixed(2)} ms`}
    >
      {[low, high].map((ms) => (
        <g key={ms}>
          <line x1={LEFT} x2={WIDTH - 10} y1={y(ms)} y2={y(ms)} stroke="var(--line)" />
          <text x={LEFT - 6} y={y(ms) + 4} text-anchor="end">
            {ms.toFixed(2).replace('-', '−')}
          </text>
        </g>
      ))}
      <text x={LEFT} y={HEIGHT - 6}>
        ms late, earliest of each stretch{line ? ', against the line' : ''}
      </text>
      <text x={WIDTH - 10} y={HEIGHT - 6} text-anchor="end">
        {(end - begin).toFixed(0)} s
      </text>
      {seconds.map((s, i) => (
        <circle key={s} cx={x(s)} cy={y(late[i]!)} r="3.5" fill="var(--blue)" />
      ))}
      {line && (
        <line
          x1={x(begin)}
          y1={y(0)}
          x2={x(end)}
          y2={y(0)}
          stroke="var(--orange)"
          stroke-width="2"
          stroke-dasharray="8 5"
        />
      )}
    </svg>
  );
}
