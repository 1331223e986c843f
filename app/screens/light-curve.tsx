import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Figures, Firing } from '../measure/figures.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import { curveColumns } from './curve-columns.ts';
import { Term } from './help-term.tsx';

/** Passed by reference, never copied. */
export interface Curve {
  readonly firing: Firing;
  readonly figures: Figures;
  /** By how much the board's clock is fast, in the figures' correction; 0 without one. */
  readonly clockPpm: number;
}

interface Props {
  readonly id: string | null;
  /** Null while there is nothing to draw. */
  readonly curve: Curve | null;
}

const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/** The light against time: dark and open level, half height, and the area that is the effective time. */
export function LightCurve({ id, curve }: Props) {
  const place = useRef<HTMLDivElement>(null);
  const plot = useRef<CurvePlot | null>(null);

  useEffect(() => {
    const host = place.current;
    if (!host) return;
    const own = new CurvePlot(host);
    plot.current = own;
    const observer = new ResizeObserver(() => own.fit());
    observer.observe(host);
    const night = matchMedia('(prefers-color-scheme: dark)');
    const recolour = () => own.recolour();
    night.addEventListener('change', recolour);
    return () => {
      observer.disconnect();
      night.removeEventListener('change', recolour);
      own.destroy();
      plot.current = null;
    };
  }, []);

  // A curve belongs to its reading's id and figures; the samples behind them never change.
  useEffect(() => plot.current?.show(curve), [id, curve?.figures]);

  const f = curve?.figures;
  const ms = (s: number | null | undefined) => (s == null ? '—' : timeText(s));
  return (
    <figure class="card curve">
      {curve && curve.firing.samples.length === 0 && (
        <p class="quiet">
          {curve.firing.timed
            ? 'This board times edges: it sends when the light came and went, not the light itself. So there is no curve, no effective time, no half-height time, no efficiency and no opening or closing.'
            : 'No samples of this firing were kept.'}
        </p>
      )}
      <div
        class="plot"
        ref={place}
        role="img"
        aria-label={
          f
            ? `Light curve: effective ${ms(f.effective)}, half height ${ms(f.halfHeight)}`
            : 'No light curve yet'
        }
      />
      <figcaption>
        <span>
          shaded area = <Term id="effective-time">effective time</Term> {ms(f?.effective)}
        </span>
        <span>
          <Term id="half-height">half-height</Term> {ms(f?.halfHeight)}
        </span>
        <span>
          <Term id="total-open-time">total open</Term> {ms(f?.total)}
        </span>
        <span>
          <Term id="efficiency">efficiency</Term>{' '}
          {f?.efficiency == null ? '—' : `${(100 * f.efficiency).toFixed(1)} %`}
        </span>
        <span>
          <Term id="opening">opening</Term> {ms(f?.opening)}
        </span>
        <span>closing {ms(f?.closing)}</span>
        <span>open level: {f?.levels?.openOrigin ?? '—'}</span>
      </figcaption>
    </figure>
  );
}

/** One plot for as long as the bench is open: building it anew for each reading would hold up the next frame. */
class CurvePlot {
  readonly #host: HTMLElement;
  #plot: uPlot | null = null;
  #curve: Curve | null = null;

  constructor(host: HTMLElement) {
    this.#host = host;
  }

  show(curve: Curve | null): void {
    this.#curve = curve && curve.firing.samples.length > 0 ? curve : null;
    const data = this.#data();
    if (this.#plot) this.#plot.setData(data);
    else if (this.#curve) this.#plot = this.#build(data);
  }

  fit(): void {
    this.#plot?.setSize({ width: this.#host.clientWidth, height: this.#host.clientHeight });
  }

  /** The colours are read when the plot is built. */
  recolour(): void {
    this.destroy();
    this.show(this.#curve);
  }

  destroy(): void {
    this.#plot?.destroy();
    this.#plot = null;
  }

  #data(): uPlot.AlignedData {
    if (!this.#curve) return [[], [], []];
    const { time, light, from, to } = curveColumns(
      this.#curve.firing,
      this.#curve.figures,
      this.#curve.clockPpm,
    );
    const counted = light.map((value, i) =>
      time[i]! >= from && time[i]! <= to ? Math.max(0, value!) : null,
    );
    return [time, counted, light];
  }

  #build(data: uPlot.AlignedData): uPlot {
    const quiet = colour('--quiet');
    return new uPlot(
      {
        width: this.#host.clientWidth,
        height: this.#host.clientHeight,
        cursor: { show: false },
        legend: { show: false },
        scales: {
          x: { time: false },
          y: { range: (_u, low, high) => [Math.min(-6, low ?? 0), Math.max(112, high ?? 0)] },
        },
        axes: [
          {
            stroke: quiet,
            grid: { stroke: colour('--line'), width: 1 },
            label: 'ms',
            labelSize: 14,
            size: 32,
          },
          { stroke: quiet, grid: { show: false }, values: (_u, s) => s.map((v) => `${v} %`), size: 52 },
        ],
        series: [
          {},
          { stroke: 'transparent', fill: colour('--fill'), points: { show: false } },
          { stroke: colour('--blue'), width: 2, points: { show: false } },
        ],
        hooks: { draw: [(u) => this.#curve && drawLevels(u, this.#curve.figures)] },
      },
      data,
      this.#host,
    );
  }
}

/** Dark, half and open as lines with their names, and the instants of half light as dots. */
function drawLevels(u: uPlot, { instants }: Figures): void {
  const { ctx } = u;
  const { left, width } = u.bbox;
  const pixel = devicePixelRatio;
  ctx.save();
  ctx.font = `${11 * pixel}px sans-serif`;
  ctx.fillStyle = colour('--quiet');
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  ctx.lineWidth = pixel;
  for (const [height, words, dash] of [
    [0, 'dark', []],
    [50, 'half', [2, 5]],
    [100, 'open', [8, 5]],
  ] as const) {
    const y = u.valToPos(height, 'y', true);
    ctx.strokeStyle = colour(height === 50 ? '--orange' : '--ink');
    ctx.setLineDash(dash.map((d) => d * pixel));
    ctx.beginPath();
    ctx.moveTo(left, y);
    ctx.lineTo(left + width, y);
    ctx.stroke();
    ctx.fillText(words, left + 4 * pixel, y - 4 * pixel);
  }
  if (instants) {
    const y = u.valToPos(50, 'y', true);
    ctx.fillStyle = colour('--orange');
    for (const at of [instants.halfOpen, instants.halfClosed]) {
      const x = u.valToPos((at - instants.firstLight) * 1000, 'x', true);
      ctx.beginPath();
      ctx.arc(x, y, 4 * pixel, 0, 2 * Math.PI);
      ctx.fill();
    }
  }
  ctx.restore();
}
