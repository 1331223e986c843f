import { ticksToSeconds } from '../../firmware-protocol/units.ts';
import type { Figures, Firing } from '../measure/figures.ts';

export interface CurveColumns {
  /** Milliseconds from first light. */
  readonly time: number[];
  /** Percent of full opening. */
  readonly light: (number | null)[];
  /** The part whose area is the effective time, in the same milliseconds. */
  readonly from: number;
  readonly to: number;
}

/** More points than this are drawn as the least and the greatest of each group: no peak disappears. */
const MOST_POINTS = 3000;

/**
 * A firing as columns for plotting, with some dark on both sides. `clockPpm`: by how much the board's clock is fast, as
 * far as the figures were corrected for it, so that curve and instants stand on one axis.
 */
export function curveColumns(firing: Firing, figures: Figures, clockPpm: number): CurveColumns {
  const { samples } = firing;
  const period = (ticksToSeconds(firing.ticksPerSample, firing.tickHz) * 1000) / (1 + clockPpm * 1e-6);
  const { levels, instants } = figures;
  const dark = levels?.dark ?? 0;
  const height = levels && levels.open > levels.dark ? levels.open - levels.dark : 255;
  const origin = instants ? instants.firstLight * 1000 : 0;
  const end = instants ? instants.lastLight * 1000 : samples.length * period;
  const rebound = figures.rebound ? figures.rebound.delay * 1000 + 10 : 0;
  const margin = Math.max(1, (end - origin) * 0.15);
  const first = Math.max(0, Math.floor((origin - margin) / period));
  const last = Math.min(samples.length, Math.ceil((end + Math.max(margin, rebound)) / period));
  const group = Math.max(1, Math.ceil((2 * (last - first)) / MOST_POINTS));
  const time: number[] = [];
  const light: (number | null)[] = [];
  const put = (i: number) => {
    time.push(i * period - origin);
    light.push((100 * (samples[i]! - dark)) / height);
  };
  for (let at = first; at < last; at += group) {
    let low = at;
    let high = at;
    for (let i = at; i < Math.min(last, at + group); i++) {
      if (samples[i]! < samples[low]!) low = i;
      if (samples[i]! > samples[high]!) high = i;
    }
    if (group === 1) put(at);
    else {
      put(Math.min(low, high));
      if (low !== high) put(Math.max(low, high));
    }
  }
  const edge = instants
    ? 250 * Math.max(instants.fullOpen - instants.firstLight, instants.lastLight - instants.closingStart)
    : 0;
  return { time, light, from: -edge, to: end - origin + edge };
}
