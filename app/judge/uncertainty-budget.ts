import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { BudgetReading } from './budget-reading.ts';
import { clockLines } from './clock-lines.ts';
import { combine } from './combined-uncertainty.ts';
import { whyNotCounted } from './counted-readings.ts';
import { levelLines } from './level-lines.ts';
import { setUpLines } from './set-up-lines.ts';
import type { Budget, BudgetLine, SpeedStatistics } from './verdict.ts';

export interface ToBudget {
  /** Of the same mark and the same firings. */
  readonly statistics: Pick<SpeedStatistics, 'n' | 'meanError' | 'sd'>;
  /** All firings of the mark; those that don't count are passed over. */
  readonly readings: readonly BudgetReading[];
}

/**
 * Uncertainty budget of a mark's mean error after the GUM (JCGM 100:2008), in stops. Noise of the light is
 * in the scatter of the firings and has no line of its own.
 *
 * Null when the mark has no time to compare with, and below two firings: one firing shows no scatter, and a
 * budget without it would state the instrument alone and look far better than the reading is.
 */
export function uncertaintyBudget({ statistics, readings }: ToBudget): Budget | null {
  const { n, meanError, sd } = statistics;
  const counted = readings.filter((reading) => whyNotCounted(reading) === null);
  if (n < 2 || meanError === null || sd === null || counted.length === 0) return null;

  const stated = setUpLines(counted);
  const lines = [repeatability(sd, n), ...clockLines(counted), ...levelLines(counted), ...stated.lines];
  const { combined, dof, k, expanded } = combine(lines);
  return {
    lines,
    combined: stops(combined),
    dof,
    k,
    expanded: stops(expanded),
    notStated: stated.notStated,
  };
}

/** Type A: the standard deviation of the mean, s/√n with n − 1 degrees of freedom (GUM 4.2.3). */
export function repeatability(sd: Stops, n: number): BudgetLine {
  return {
    source: 'repeatability',
    type: 'A',
    distribution: 'normal',
    halfWidth: null,
    u: stops(sd / Math.sqrt(n)),
    dof: n - 1,
    origin: `Scatter of ${n} firings: standard deviation ${sd.toFixed(3)} EV, divided by √${n}.`,
  };
}
