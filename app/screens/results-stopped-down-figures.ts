import { type Seconds, type Stops, seconds, stops } from '../../firmware-protocol/units.ts';
import type { FiringLine } from './results-firings.ts';

export interface AtStop {
  /** Stops below wide open; 0 is wide open. */
  readonly down: number;
  /** Geometric mean of the firings. */
  readonly time: Seconds;
  /** Against wide open. */
  readonly longer: Stops;
}

/**
 * Mean effective time with the lens stopped down, from the recorded curves of the firings that count; the
 * means are taken in stops. Empty when no counted firing has such figures.
 */
export function stoppedDownFigures(lines: readonly FiringLine[]): readonly AtStop[] {
  const counted = lines.flatMap(({ firing: { figures }, why }) =>
    why === null && figures.stoppedDown !== null && figures.effective !== null
      ? [[figures.effective, ...figures.stoppedDown]]
      : [],
  );
  const deepest = Math.min(...counted.map(({ length }) => length));
  if (counted.length === 0) return [];
  const meanLog = (down: number) =>
    counted.reduce((sum, times) => sum + Math.log2(times[down]!), 0) / counted.length;
  const open = meanLog(0);
  return Array.from({ length: deepest }, (_, down) => ({
    down,
    time: seconds(2 ** meanLog(down)),
    longer: stops(meanLog(down) - open),
  }));
}
