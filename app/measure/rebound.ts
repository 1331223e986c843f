import type { Rebound } from './figures.ts';
import { REBOUND_SECONDS } from './levels.ts';
import type { LightCurve } from './light-curve.ts';

const WIDTH = 5;

/**
 * Light that comes back within 60 ms after closing and exceeds max(3 %, 5 σ). `after` is where the
 * exposure's own integral ends and `lastLight` where its light has gone, both in samples.
 */
export function findRebound(
  curve: LightCurve,
  after: number,
  lastLight: number,
  dark: number,
  height: number,
  noise: number,
  secondsPerSample: number,
): Rebound | null {
  const seen = Math.max(0.03 * height, 5 * noise);
  const faint = Math.max(0.01 * height, (4 * noise) / Math.sqrt(WIDTH));
  const from = Math.ceil(after);
  const end = Math.min(curve.length, Math.round(lastLight + REBOUND_SECONDS / secondsPerSample));
  let first = -1;
  let last = -1;
  let highest = Number.NEGATIVE_INFINITY;
  let highestAt = from;
  for (let i = from; i < end; i++) {
    const light = curve.smoothed(i, WIDTH) - dark;
    if (light > highest) {
      highest = light;
      highestAt = i;
    }
    if (light < seen) continue;
    if (first < 0) first = i;
    last = i;
  }
  if (first < 0) return null;
  // What began within the window counts to its end.
  while (last + 1 < curve.length && curve.smoothed(last + 1, WIDTH) - dark >= faint) {
    last++;
    const light = curve.smoothed(last, WIDTH) - dark;
    if (light > highest) {
      highest = light;
      highestAt = last;
    }
  }
  while (first > from && curve.smoothed(first - 1, WIDTH) - dark >= faint) first--;
  const margin = (last - first) / 4 + 1;
  const begin = Math.max(first - margin, after);
  const area = curve.integral(begin, last + margin, dark);
  return {
    effective: ((area / height) * secondsPerSample) as Rebound['effective'],
    peak: highest / height,
    delay: ((highestAt - lastLight) * secondsPerSample) as Rebound['delay'],
  };
}
