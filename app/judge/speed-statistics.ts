import { type Seconds, type Stops, seconds, stops } from '../../firmware-protocol/units.ts';
import { judgedTime, type Reading, whyNotCounted } from './counted-readings.ts';
import { meanInterval, nextInterval, sdInterval } from './intervals.ts';
import { type Branch, insertValue, type Ordered, valueAt } from './order-statistics.ts';
import { addValue, type Moments, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import { suspectedOutlier } from './suspected-outlier.ts';
import type { SpeedStatistics } from './verdict.ts';

/**
 * Statistics of one mark under way. A new value each time, so that a view can compare by identity. Mean, spread
 * and their intervals cost the same for every firing; median, fastest and slowest cost log n.
 */
export interface RunningStatistics {
  /** Of log2(time in seconds): errors add in stops, not in seconds. */
  readonly logs: Moments;
  /** Of the times in seconds, for the coefficient of variation. */
  readonly times: Moments;
  readonly ordered: Ordered<Seconds>;
}

export const NO_FIRINGS: RunningStatistics = { logs: NO_MOMENTS, times: NO_MOMENTS, ordered: null };

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
    ordered: insertValue(running.ordered, time),
  };
}

const NOTHING: SpeedStatistics = {
  n: 0,
  meanError: null,
  meanTime: null,
  median: null,
  fastest: null,
  slowest: null,
  sd: null,
  range: null,
  cv: null,
  meanInterval: null,
  sdInterval: null,
  nextInterval: null,
  suspect: null,
};

/** The figures at this point. `reference` in seconds, null for B and T, whose error then stays null. */
export function summarise(running: RunningStatistics, reference: Seconds | null): SpeedStatistics {
  const { logs, times, ordered } = running;
  const { n } = logs;
  if (ordered === null) return NOTHING;
  const fastest = valueAt(ordered, 0);
  const slowest = valueAt(ordered, n - 1);
  const meanError = reference === null ? null : stops(logs.mean - Math.log2(reference));
  const sd = standardDeviation(logs) as Stops | null;
  const timeSd = standardDeviation(times);
  const sample = meanError === null || sd === null ? null : { n, mean: meanError, sd };
  return {
    n,
    meanError,
    meanTime: seconds(2 ** logs.mean),
    median: medianOf(ordered),
    fastest,
    slowest,
    sd,
    range: stops(Math.log2(slowest / fastest)),
    cv: timeSd === null ? null : (100 * timeSd) / times.mean,
    meanInterval: sample && meanInterval(sample),
    sdInterval: sd === null ? null : sdInterval({ n, sd }),
    nextInterval: sample && nextInterval(sample),
    suspect: sd === null ? null : suspect(logs, sd, fastest, slowest),
  };
}

/** Judged in stops against 1 s, so that a mark without a time of its own has it too. */
function suspect(
  { n, mean }: Moments,
  sd: Stops,
  fastest: Seconds,
  slowest: Seconds,
): SpeedStatistics['suspect'] {
  const inStops = (time: Seconds) => stops(Math.log2(time));
  const found = suspectedOutlier({
    n,
    mean: stops(mean),
    sd,
    least: inStops(fastest),
    greatest: inStops(slowest),
  });
  if (found === null) return null;
  return found === 'least' ? 'fastest' : 'slowest';
}

/** Statistics of a list of firings in one go; the same as adding them one by one. */
export function statisticsOf(readings: readonly Reading[], reference: Seconds | null): SpeedStatistics {
  return summarise(readings.reduce(addReading, NO_FIRINGS), reference);
}

/** The middle time, or midway (in seconds) between the two middle ones. */
function medianOf(ordered: Branch<Seconds>): Seconds {
  const half = ordered.size >> 1;
  const upper = valueAt(ordered, half);
  return ordered.size % 2 === 1 ? upper : seconds((valueAt(ordered, half - 1) + upper) / 2);
}
