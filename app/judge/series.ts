/**
 * Series of marked speeds that a speed ring may carry, from the slowest timed mark to the fastest, with T
 * and B before them. Lists of the user's own are read in own-series.ts.
 */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import type { MarkedSpeed, Series } from './verdict.ts';

/**
 * Engraved times of the doubling series and the power of two each of them stands for, as log2 of seconds.
 * 1/15, 1/30 and 1/60 stand for 1/16, 1/32 and 1/64 s, 1/125 to 1/1000 for 1/128 to 1/1024 s
 * (JIS B 7091 and ISO 516). 1/2000 and beyond continue the same rule.
 */
const DOUBLING_EXPONENTS: ReadonlyMap<string, number> = new Map([
  ['8', 3],
  ['4', 2],
  ['2', 1],
  ['1', 0],
  ['1/2', -1],
  ['1/4', -2],
  ['1/8', -3],
  ['1/15', -4],
  ['1/30', -5],
  ['1/60', -6],
  ['1/125', -7],
  ['1/250', -8],
  ['1/500', -9],
  ['1/1000', -10],
  ['1/2000', -11],
  ['1/4000', -12],
  ['1/8000', -13],
]);

/** Seconds of an engraved label such as '1/60', '2' or '0.5'; null for B and T and whatever is no time. */
export function timeOfLabel(label: string): Seconds | null {
  const match = /^(\d+(?:\.\d+)?)(?:\/(\d+))?$/.exec(label);
  if (!match) return null;
  return seconds(Number(match[1]) / Number(match[2] ?? 1));
}

/**
 * A series from labels, in the order given. Exact times are set only if every timed mark belongs to the
 * doubling series: in an older or mixed list 1/250 means 1/250, and two rules in one list would set
 * neighbouring marks apart by something nobody engraved.
 */
export function seriesFromLabels(id: string, name: string, labels: readonly string[]): Series {
  const doubling = labels.every((label) => timeOfLabel(label) === null || DOUBLING_EXPONENTS.has(label));
  const speeds = labels.map((label): MarkedSpeed => {
    const exponent = doubling ? DOUBLING_EXPONENTS.get(label) : undefined;
    return {
      label,
      marked: timeOfLabel(label),
      exact: exponent === undefined ? null : seconds(2 ** exponent),
    };
  });
  return { id, name, speeds };
}

const words = (text: string) => text.split(' ');

/** 1 … 1/500 with B: what most leaf shutters of the doubling series carry (common practice, no source). */
export const LEAF_SERIES = seriesFromLabels(
  'leaf',
  'Doubling, 1 to 1/500',
  words('B 1 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500'),
);

/** Offered to the user to choose from, the first as the default. The older ones are common practice, no source. */
export const BUILT_IN_SERIES: readonly Series[] = [
  LEAF_SERIES,
  seriesFromLabels(
    'doubling',
    'Doubling, 4 to 1/1000',
    words('T B 4 2 1 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500 1/1000'),
  ),
  seriesFromLabels('older', 'Older, 1 to 1/500', words('T B 1 1/2 1/5 1/10 1/25 1/50 1/100 1/250 1/500')),
  seriesFromLabels('older-300', 'Older, 1 to 1/300', words('T B 1 1/2 1/5 1/10 1/25 1/50 1/100 1/300')),
];

/**
 * The part of a series that one shutter carries: the timed marks from `slowest` to `fastest`, both
 * included, and B and T as `untimed` says. The order of the series stays.
 *
 * @throws RangeError for a label the series has no time for, or if `slowest` is faster than `fastest`.
 */
export function seriesBetween(
  series: Series,
  slowest: string,
  fastest: string,
  untimed: readonly string[],
): Series {
  const longest = markedTime(series, slowest);
  const shortest = markedTime(series, fastest);
  if (longest < shortest) {
    throw new RangeError(`The slowest mark (${slowest}) is faster than the fastest (${fastest}).`);
  }
  const speeds = series.speeds.filter(({ label, marked }) =>
    marked === null ? untimed.includes(label) : marked <= longest && marked >= shortest,
  );
  return { ...series, speeds };
}

function markedTime(series: Series, label: string): Seconds {
  const time = series.speeds.find((speed) => speed.label === label)?.marked;
  if (time == null) throw new RangeError(`“${label}” is no timed mark of the series “${series.name}”.`);
  return time;
}
