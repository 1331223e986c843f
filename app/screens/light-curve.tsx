import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Figures, Firing } from '../measure/figures.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import { curveColumns } from './curve-columns.ts';

interface Props {
  readonly id: string | null;
  /** Passed by reference; null while there is nothing to draw. */
  readonly curve: { readonly firing: Firing; readonly figures: Figures } | null;
}

const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/** The light against time: dark and open level, half height, and the area that is the effective time. */
export function LightCurve({ id, curve }: Props) {
  const place = useRef<HTMLDivElement>(null);

  useEffect(() => {
    const host = place.current;
    if (!host || !curve || curve.firing.samples.length === 0) return;
    let plot = draw(host, curve);
    const redraw = () => {
      plot.destroy();
      plot = draw(host, curve);
    };
    const observer = new ResizeObserver(() =>
      plot.setSize({ width: host.clientWidth, height: host.clientHeight }),
    );
    observer.observe(host);
    const night = matchMedia('(prefers-color-scheme: dark)');
    night.addEventListener('change', redraw);
    return () => {
      observer.disconnect();
      night.removeEventListener('change', redraw);
      plot.destroy();
    };
  }, [id, curve?.figures]);

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
        <span>shaded area = effective time {ms(f?.effective)}</span>
        <span>half-height {ms(f?.halfHeight)}</span>
        <span>total open {ms(f?.total)}</span>
        <span>efficiency {f?.efficiency == null ? '—' : `${(100 * f.efficiency).toFixed(1)} %`}</span>
        <span>opening {ms(f?.opening)}</span>
        <span>closing {ms(f?.closing)}</span>
        <span>open level: {f?.levels?.openOrigin ?? '—'}</span>
      </figcaption>
    </figure>
  );
}

function draw(host: HTMLElement, { firing, figures }: { firing: Firing; figures: Figures }): uPlot {
  const { time, light, from, to } = curveColumns(firing, figures);
  const ink = colour('--ink');
  const quiet = colour('--quiet');
  const grid = colour('--line');
  const levels = (u: uPlot) => {
    const { ctx } = u;
    const { left, width } = u.bbox;
    const pixel = devicePixelRatio;
    ctx.save();
    ctx.font = `${11 * pixel}px sans-serif`;
    ctx.fillStyle = quiet;
    ctx.textAlign = 'left';
    ctx.textBaseline = 'alphabetic';
    ctx.lineWidth = pixel;
    for (const [height, words, dash] of [
      [0, 'dark', []],
      [50, 'half', [2, 5]],
      [100, 'open', [8, 5]],
    ] as const) {
      const y = u.valToPos(height, 'y', true);
      ctx.strokeStyle = height === 50 ? colour('--orange') : ink;
      ctx.setLineDash(dash.map((d) => d * pixel));
      ctx.beginPath();
      ctx.moveTo(left, y);
      ctx.lineTo(left + width, y);
      ctx.stroke();
      ctx.fillText(words, left + 4 * pixel, y - 4 * pixel);
    }
    const { instants } = figures;
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
  };
  const counted = light.map((value, i) => (time[i]! >= from && time[i]! <= to ? Math.max(0, value!) : null));
  return new uPlot(
    {
      width: host.clientWidth,
      height: host.clientHeight,
      cursor: { show: false },
      legend: { show: false },
      scales: {
        x: { time: false },
        y: { range: (_u, low, high) => [Math.min(-6, low), Math.max(112, high)] },
      },
      axes: [
        { stroke: quiet, grid: { stroke: grid, width: 1 }, label: 'ms', labelSize: 14, size: 32 },
        { stroke: quiet, grid: { show: false }, values: (_u, s) => s.map((v) => `${v} %`), size: 52 },
      ],
      series: [
        {},
        { stroke: 'transparent', fill: colour('--fill'), points: { show: false } },
        { stroke: colour('--blue'), width: 2, points: { show: false } },
      ],
      hooks: { draw: [levels] },
    },
    [time, counted, light],
    host,
  );
}
