import { ticksToSeconds } from '../../firmware-protocol/units.ts';
import type { Figures, Firing } from '../measure/figures.ts';

export interface OverlayCurve {
  readonly id: string;
  /** Passed by reference. */
  readonly firing: Firing;
  readonly figures: Figures;
  /** By which the board's clock ran fast when the figures were made; 0 when nothing was known. */
  readonly ppm: number;
  /** Only firings that count decide how long a stretch is shown. */
  readonly counts: boolean;
}

export interface OverlayColumns {
  /** Milliseconds from the instant of half light at opening. */
  readonly time: number[];
  /** Percent of full opening, a column for each curve that has an opening to align at; null outside its record. */
  readonly light: ReadonlyMap<string, (number | null)[]>;
}

/** Points of one curve. Beyond it, each group of samples gives its least and its greatest: no peak disappears. */
const MOST_POINTS = 2000;

interface Aligned {
  readonly id: string;
  readonly samples: Uint8Array;
  /** Seconds from one sample to the next, by the clock that the figures follow. */
  readonly period: number;
  readonly halfOpen: number;
  readonly dark: number;
  readonly height: number;
  /** Stretch of the light in seconds from half open. */
  readonly from: number;
  readonly to: number;
  readonly counts: boolean;
}

/** The light of several firings over one ascending time, aligned where each was half open. */
export function overlayColumns(curves: readonly OverlayCurve[]): OverlayColumns {
  const aligned = curves.flatMap((curve) => align(curve) ?? []);
  const leading = aligned.some(({ counts }) => counts) ? aligned.filter(({ counts }) => counts) : aligned;
  if (leading.length === 0) return { time: [], light: new Map() };
  const first = Math.min(...leading.map(({ from }) => from));
  const last = Math.max(...leading.map(({ to }) => to));
  const margin = Math.max(0.0005, 0.08 * (last - first));
  const from = first - margin;
  const period = Math.min(...aligned.map((curve) => curve.period));
  const count = Math.ceil((last + margin - from) / period) + 1;
  const points = Math.min(count, MOST_POINTS);
  const step = count <= MOST_POINTS ? period : (2 * count * period) / MOST_POINTS;
  const grouped = count > MOST_POINTS;
  const time = Array.from({ length: points }, (_, i) => 1000 * (from + (grouped ? i / 2 : i) * step));
  const light = new Map(
    aligned.map((curve) => [
      curve.id,
      grouped ? leastAndGreatest(curve, from, step, points) : between(curve, from, step, points),
    ]),
  );
  return { time, light };
}

function align({ id, firing, figures, ppm, counts }: OverlayCurve): Aligned | null {
  const { instants, levels, rebound } = figures;
  if (!instants || !levels || levels.open <= levels.dark || firing.samples.length === 0) return null;
  return {
    id,
    samples: firing.samples,
    period: ticksToSeconds(firing.ticksPerSample, firing.tickHz) / (1 + ppm * 1e-6),
    halfOpen: instants.halfOpen,
    dark: levels.dark,
    height: levels.open - levels.dark,
    from: instants.firstLight - instants.halfOpen,
    to: instants.lastLight - instants.halfOpen + (rebound ? 1.5 * rebound.delay : 0),
    counts,
  };
}

const percent = (curve: Aligned, code: number) => (100 * (code - curve.dark)) / curve.height;

/** Straight between neighbouring samples, since each curve's samples fall differently about its opening. */
function between(curve: Aligned, from: number, step: number, points: number): (number | null)[] {
  const { samples, period, halfOpen } = curve;
  return Array.from({ length: points }, (_, i) => {
    const at = (from + i * step + halfOpen) / period;
    const before = Math.floor(at);
    if (before < 0 || before + 1 >= samples.length) return null;
    const code = samples[before]! + (at - before) * (samples[before + 1]! - samples[before]!);
    return percent(curve, code);
  });
}

/** Two points for each step of time, in the order in which least and greatest come. */
function leastAndGreatest(curve: Aligned, from: number, step: number, points: number): (number | null)[] {
  const { samples, period, halfOpen } = curve;
  const light: (number | null)[] = [];
  for (let group = 0; light.length < points; group++) {
    const start = Math.ceil((from + group * step + halfOpen) / period);
    const end = Math.ceil((from + (group + 1) * step + halfOpen) / period);
    if (start < 0 || end > samples.length || end <= start) {
      light.push(null, null);
      continue;
    }
    let low = start;
    let high = start;
    for (let i = start; i < end; i++) {
      if (samples[i]! < samples[low]!) low = i;
      if (samples[i]! > samples[high]!) high = i;
    }
    light.push(percent(curve, samples[Math.min(low, high)]!), percent(curve, samples[Math.max(low, high)]!));
  }
  light.length = points;
  return light;
}
