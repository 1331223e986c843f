/**
 * What one more firing of a mark costs, from the firing to all its figures, when there are ten of them and
 * when there are ten thousand. Moments and intervals should cost the same; ranks may grow with log n.
 */
import type { Reading } from '../../app/judge/counted-readings.ts';
import { meanInterval, nextInterval, sdInterval } from '../../app/judge/intervals.ts';
import { insertValue, type Ordered, valueAt } from '../../app/judge/order-statistics.ts';
import { addValue, type Moments, NO_MOMENTS, standardDeviation } from '../../app/judge/running-moments.ts';
import { addReading, NO_FIRINGS, summarise } from '../../app/judge/speed-statistics.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from '../judge/sample-readings.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import type { Figure } from './figure.ts';
import { median, rounded, takeTurns } from './rounds.ts';

const FEW = 10;
const MANY = 10_000;
/** Firings added one after another in one go; then again from the same start. */
const ADDED = 8;
const REPEATS = 250;
const ROUNDS = 25;

const REFERENCE = seconds(1 / 60);
const normal = seededNormal(seededRandom(20261126));
const errors = (n: number) => Array.from({ length: n }, () => 0.1 * normal());
const firing = (error: number): Reading => reading(REFERENCE * 2 ** error);

/** What is done with each firing added to `Start`; the start itself is never changed. */
function adding<Start>(start: Start, added: readonly number[], add: (before: Start, error: number) => Start) {
  return () => {
    for (let i = 0; i < REPEATS; i++) added.reduce(add, start);
  };
}

export async function measureStatistics(): Promise<readonly Figure[]> {
  const added = errors(ADDED);
  const readings = new Map(added.map((error) => [error, firing(error)]));
  const [few, many] = [errors(FEW), errors(MANY)];

  const all = (before: readonly number[]) =>
    adding(before.map(firing).reduce(addReading, NO_FIRINGS), added, (running, error) => {
      const next = addReading(running, readings.get(error)!);
      const { n, suspect } = summarise(next, REFERENCE);
      if (n <= before.length || suspect === undefined) throw new Error(`${n} firings were counted`);
      return next;
    });
  const moments = (before: readonly number[]) =>
    adding(before.reduce(addValue, NO_MOMENTS), added, withIntervals);
  const ranks = (before: readonly number[]) =>
    adding<Ordered<number>>(before.reduce<Ordered<number>>(insertValue, null), added, withRanks);

  const times = takeTurns(
    {
      'all, few': all(few),
      'moments, few': moments(few),
      'ranks, few': ranks(few),
      'all, many': all(many),
      'moments, many': moments(many),
      'ranks, many': ranks(many),
    },
    ROUNDS,
  );
  const each = (time: number) => (time * 1e3) / (ADDED * REPEATS);
  const at = (name: keyof typeof times, words: string): Figure => ({
    quantity: `one more firing of a mark with ${words}`,
    value: each(median(times[name])),
    unit: 'µs',
    expectation: null,
    detail: `best ${rounded(each(Math.min(...times[name])))} µs, all its statistics`,
  });
  /** Round by round, so that both saw the same machine. */
  const ratio = (part: 'all' | 'moments' | 'ranks', words: string, most: number): Figure => {
    const [ten, tenThousand] = [times[`${part}, few`], times[`${part}, many`]];
    return {
      quantity: `one more firing, 10,000 ÷ 10, ${words}`,
      value: median(tenThousand.map((time, round) => time / ten[round]!)),
      unit: '×',
      expectation: { most },
      detail: `${rounded(each(median(tenThousand)))} ÷ ${rounded(each(median(ten)))} µs`,
    };
  };
  return [
    at('all, few', '10'),
    at('all, many', '10,000'),
    ratio('moments', 'mean, SD, intervals', 1.5),
    // log 10,000 ÷ log 10.
    ratio('ranks', 'median and ranks', 4),
    ratio('all', 'all statistics', 4),
  ];
}

function withIntervals(before: Moments, error: number): Moments {
  const moments = addValue(before, error);
  const sd = standardDeviation(moments);
  if (sd === null) throw new Error('There is no standard deviation');
  const sample = { n: moments.n, mean: stops(moments.mean), sd: stops(sd) };
  const widths = [meanInterval, sdInterval, nextInterval].map((of) => {
    const { lower, upper } = of(sample);
    return upper - lower;
  });
  if (!widths.every((width) => width > 0)) throw new Error(`Intervals as wide as ${widths.join(', ')}`);
  return moments;
}

function withRanks(before: Ordered<number>, error: number): Ordered<number> {
  const ordered = insertValue(before, error);
  const half = ordered.size >> 1;
  const [least, middle, greatest] = [0, half, ordered.size - 1].map((rank) => valueAt(ordered, rank));
  if (!(least! <= middle! && middle! <= greatest!)) throw new Error('The ranks are out of order');
  return ordered;
}
