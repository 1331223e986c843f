import { type Seconds, seconds, stops } from '../../firmware-protocol/units.ts';
import { judgedTime, type Reading, whyNotCounted } from './counted-readings.ts';
import { addValue, type Moments, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import type { SpeedStatistics } from './verdict.ts';

/**
 * Statistics of one mark under way. A new value each time, so that a view can compare by identity. Mean and
 * spread cost the same for every firing; the sorted times, kept for the median, are copied.
 */
export interface RunningStatistics {
  /** Of log2(time in seconds): errors add in stops, not in seconds. */
  readonly logs: Moments;
  /** Of the times in seconds, for the coefficient of variation. */
  readonly times: Moments;
  /** Seconds, ascending. */
  readonly sorted: readonly Seconds[];
}

export const NO_FIRINGS: RunningStatistics = { logs: NO_MOMENTS, times: NO_MOMENTS, sorted: [] };

/** Adds a firing if it counts (whyNotCounted); otherwise gives back the same object. */
export function addReading(running: RunningStatistics, reading: Reading): RunningStatistics {
  const time = judgedTime(reading.figures);
  return time === null || whyNotCounted(reading) !== null ? running : addTime(running, time);
}

/** Adds one time, in seconds above zero. */
function addTime(running: RunningStatistics, time: Seconds): RunningStatistics {
  return {
    logs: addValue(running.logs, Math.log2(time)),
    times: addValue(running.times, time),
    sorted: insertSorted(running.sorted, time),
  };
}

/** The figures at this point. `reference` in seconds, null for B and T, whose error then stays null. */
export function summarise(running: RunningStatistics, reference: Seconds | null): SpeedStatistics {
  const { logs, times, sorted } = running;
  const fastest = sorted[0] ?? null;
  const slowest = sorted[sorted.length - 1] ?? null;
  const sd = standardDeviation(logs);
  const timeSd = standardDeviation(times);
  return {
    n: logs.n,
    meanError: logs.n === 0 || reference === null ? null : stops(logs.mean - Math.log2(reference)),
    meanTime: logs.n === 0 ? null : seconds(2 ** logs.mean),
    median: medianOfSorted(sorted),
    fastest,
    slowest,
    sd: sd === null ? null : stops(sd),
    range: fastest === null || slowest === null ? null : stops(Math.log2(slowest / fastest)),
    cv: timeSd === null ? null : (100 * timeSd) / times.mean,
  };
}

/** Statistics of a list of firings in one go; the same as adding them one by one. */
export function statisticsOf(readings: readonly Reading[], reference: Seconds | null): SpeedStatistics {
  return summarise(readings.reduce(addReading, NO_FIRINGS), reference);
}

function insertSorted(sorted: readonly Seconds[], time: Seconds): readonly Seconds[] {
  let at = sorted.length;
  while (at > 0 && sorted[at - 1]! > time) at--;
  return [...sorted.slice(0, at), time, ...sorted.slice(at)];
}

/** The middle time, or midway (in seconds) between the two middle ones; null for an empty list. */
function medianOfSorted(sorted: readonly Seconds[]): Seconds | null {
  if (sorted.length === 0) return null;
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : seconds((sorted[half - 1]! + sorted[half]!) / 2);
}
