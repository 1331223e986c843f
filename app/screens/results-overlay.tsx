import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Firing } from '../measure/figures.ts';
import type { StageId } from '../record/job.ts';
import { curveOf } from './actions/readings.ts';
import type { FiringLine } from './results-firings.ts';
import { type OverlayColumns, overlayColumns } from './results-overlay-columns.ts';

interface Props {
  readonly mark: string;
  readonly stage: StageId;
  /** In the order of firing. */
  readonly lines: readonly FiringLine[];
  readonly chosen: string | null;
  readonly choose: (id: string) => void;
}

/** More curves than this on top of each other tell nothing apart; the latest are shown. */
const MOST_CURVES = 40;

/** The light of a mark's firings over each other, aligned where each was half open; the chosen one is thick. */
export function Overlay({ mark, stage, lines, chosen, choose }: Props) {
  const { columns, loading } = useColumns(lines, chosen);
  const drawn = lines.filter(({ id }) => columns.light.has(id));
  const thick = drawn.find(({ id }) => id === chosen) ?? drawn.at(-1) ?? null;
  const [place, setPlace] = useState<number | null>(null);
  const halfOpen = Math.max(
    0,
    columns.time.findIndex((ms) => ms >= 0),
  );
  const at = Math.min(place ?? halfOpen, Math.max(0, columns.time.length - 1));
  const words = readWords(columns, thick, at);

  function press(event: KeyboardEvent) {
    const step = event.key === 'ArrowUp' ? -1 : event.key === 'ArrowDown' ? 1 : 0;
    if (step === 0) return;
    event.preventDefault();
    const to = drawn[drawn.findIndex(({ id }) => id === thick?.id) + step];
    if (to) choose(to.id);
  }

  return (
    <figure class="card overlay" data-overlay={drawn.length}>
      <h2>Light of the firings at {mark}, aligned at opening</h2>
      {drawn.length === 0 ? (
        <p class="quiet">
          {loading
            ? 'Fetching the curves …'
            : 'No firing here has a light curve with an opening to align at.'}
        </p>
      ) : (
        <>
          <OverlayPlot
            columns={columns}
            lines={drawn}
            thick={thick?.id ?? null}
            stage={stage}
            at={at}
            read={setPlace}
            description={`Light curves of ${drawn.length} firings at ${mark}, ${stage}, over each other`}
          />
          <input
            type="range"
            min={0}
            max={columns.time.length - 1}
            value={at}
            aria-label="Time from half open; up and down choose the firing"
            aria-valuetext={words}
            onInput={(event) => setPlace(Number(event.currentTarget.value))}
            onKeyDown={press}
            data-control="overlay-time"
          />
          <p class="read" aria-live="polite" data-read="overlay">
            {words}
          </p>
        </>
      )}
      <figcaption class="keys">
        <span>
          <kbd>←</kbd> <kbd>→</kbd> time
        </span>
        <span>
          <kbd>↑</kbd> <kbd>↓</kbd> firing
        </span>
        <span>thick: the chosen firing</span>
        <span>broken: not counted</span>
        {lines.length > drawn.length && !loading && (
          <span>
            {lines.length - drawn.length} of {lines.length} firings not drawn
          </span>
        )}
      </figcaption>
    </figure>
  );
}

function readWords({ time, light }: OverlayColumns, line: FiringLine | null, at: number): string {
  const ms = time[at];
  if (!line || ms === undefined) return '';
  const value = light.get(line.id)?.[at] ?? null;
  const when =
    Math.abs(ms) < 0.005
      ? 'at half open'
      : `${Math.abs(ms).toFixed(2)} ms ${ms < 0 ? 'before' : 'after'} half open`;
  return `Firing ${line.ordinal}, ${when}: ${value === null ? 'no sample' : `${wholePercent(value)} % of full light`}`;
}

const wholePercent = (value: number) => (Math.round(value) || 0).toString().replace('-', '−');

/** Fetches the samples of the firings to be drawn and keeps only what is plotted. */
function useColumns(lines: readonly FiringLine[], chosen: string | null) {
  const wanted = useMemo(() => {
    const latest = lines.slice(-MOST_CURVES);
    const older = lines.find((line) => line.id === chosen && !latest.includes(line));
    return older ? [older, ...latest.slice(1)] : latest;
  }, [lines, lines.slice(-MOST_CURVES).some(({ id }) => id === chosen) ? null : chosen]);
  const fetched = useRef(new Map<string, Firing>());
  const [state, setState] = useState({ columns: NOTHING, loading: true });
  useEffect(() => {
    let still = true;
    void (async () => {
      const curves = [];
      const kept = new Map<string, Firing>();
      for (const { id, firing, why } of wanted) {
        const samples = fetched.current.get(id) ?? (await curveOf(id));
        if (!still) return;
        if (samples === null) continue;
        kept.set(id, samples);
        const ppm = firing.clockCorrection?.ppm ?? 0;
        curves.push({ id, firing: samples, figures: firing.figures, ppm, counts: why === null });
      }
      fetched.current = kept;
      setState({ columns: overlayColumns(curves), loading: false });
    })();
    return () => {
      still = false;
    };
  }, [wanted]);
  return state;
}

const NOTHING: OverlayColumns = { time: [], light: new Map() };

interface PlotProps {
  readonly columns: OverlayColumns;
  readonly lines: readonly FiringLine[];
  readonly thick: string | null;
  readonly stage: StageId;
  readonly at: number;
  readonly read: (place: number) => void;
  readonly description: string;
}

const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function OverlayPlot({ columns, lines, thick, stage, at, read, description }: PlotProps) {
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const night = useNight();

  useEffect(() => {
    const element = host.current;
    if (!element) return;
    const own = build(element, columns, lines, thick, stage, read);
    plot.current = own;
    const observer = new ResizeObserver(() =>
      own.setSize({ width: element.clientWidth, height: element.clientHeight }),
    );
    observer.observe(element);
    return () => {
      observer.disconnect();
      own.destroy();
      plot.current = null;
    };
  }, [columns, stage, night]);

  useEffect(() => plot.current?.setData(dataOf(columns, lines, thick)), [thick, columns, stage, night]);
  useEffect(() => {
    const u = plot.current;
    const ms = columns.time[at];
    if (!u || ms === undefined || u.cursor.idx === at) return;
    u.setCursor({ left: u.valToPos(ms, 'x'), top: 0 }, false);
  }, [at, columns, stage, night]);

  return <div class="plot" ref={host} role="img" aria-label={description} />;
}

/** The chosen one comes once more at the end, so that it lies on top. */
function dataOf({ time, light }: OverlayColumns, lines: readonly FiringLine[], thick: string | null) {
  const columnOf = (id: string | null) => (id === null ? undefined : light.get(id)) ?? [];
  return [time, ...lines.map(({ id }) => columnOf(id)), columnOf(thick)] as uPlot.AlignedData;
}

function build(
  host: HTMLElement,
  columns: OverlayColumns,
  lines: readonly FiringLine[],
  thick: string | null,
  stage: StageId,
  read: (place: number) => void,
): uPlot {
  const quiet = colour('--quiet');
  const grid = { stroke: colour('--line'), width: 1 };
  const points = { show: false };
  return new uPlot(
    {
      width: host.clientWidth,
      height: host.clientHeight,
      legend: { show: false },
      cursor: { y: false, points, drag: { x: false, y: false } },
      scales: {
        x: { time: false },
        y: { range: (_u, low, high) => [Math.min(-6, low ?? 0), Math.max(112, high ?? 0)] },
      },
      axes: [
        { stroke: quiet, grid, label: 'ms from half open', labelSize: 16, size: 32 },
        {
          stroke: quiet,
          grid,
          size: 52,
          splits: () => [0, 50, 100],
          values: (_u, splits) => splits.map((v) => `${v} %`),
        },
      ],
      series: [
        {},
        ...lines.map(({ why }) => ({ stroke: quiet, width: 1, dash: why === null ? [] : [4, 4], points })),
        { stroke: colour(`--${stage.replace(' ', '-')}`), width: 3, points },
      ],
      hooks: {
        setCursor: [
          (u) => {
            // Without an event it was the page that moved it.
            if (u.cursor.event != null && u.cursor.idx != null) read(u.cursor.idx);
          },
        ],
      },
    },
    dataOf(columns, lines, thick),
    host,
  );
}

/** Whether the surroundings are dark: the plot's colours are read when it is built. */
function useNight(): boolean {
  const [night, setNight] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches);
  useEffect(() => {
    const query = matchMedia('(prefers-color-scheme: dark)');
    const look = () => setNight(query.matches);
    query.addEventListener('change', look);
    return () => query.removeEventListener('change', look);
  }, []);
  return night;
}
