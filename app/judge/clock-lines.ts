/** Budget lines of the board's clock. Its error is shared by all firings and does not average out. */
import type { ClockCorrection } from '../measure/figures.ts';
import {
  type BudgetReading,
  firingCount,
  normalLine,
  rectangularLine,
  relativeToStops,
} from './budget-reading.ts';
import type { BudgetLine } from './verdict.ts';

/** Limits ± of a ceramic resonator, as shares of its frequency (makers' data sheets). */
const TOLERANCE = 0.005;
const TEMPERATURE = 0.003;
const AGEING = 0.003;
/**
 * A board warms by some 10 K after it is plugged in. The data sheet's limit holds over a range of about
 * 100 K (from memory), and a tenth of it is taken for a tenth of the range.
 */
const WARM_UP = TEMPERATURE / 10;
/** A computer's crystal that no time server disciplines (from memory). */
const COMPUTER_PPM = 100;

const PPM = 1e-6;

/** `readings`: the counted firings of a mark, at least one. */
export function clockLines(readings: readonly BudgetReading[]): readonly BudgetLine[] {
  const corrections = readings.flatMap(({ clockCorrection }) => clockCorrection ?? []);
  const without = readings.length - corrections.length;
  const widest = corrections.reduce<ClockCorrection | null>(
    (worst, one) => (worst === null || one.uncertainty > worst.uncertainty ? one : worst),
    null,
  );
  return widest === null || without > 0 ? uncheckedClock(without, readings.length) : checkedClock(widest);
}

function checkedClock({ ppm, uncertainty, observedSeconds }: ClockCorrection): readonly BudgetLine[] {
  return [
    normalLine(
      'clock check',
      relativeToStops(uncertainty * PPM),
      `The board's clock was compared with the computer's for ${observedSeconds.toFixed(0)} s and its error of ${signedPpm(ppm)} ppm taken out; standard uncertainty ${uncertainty.toFixed(1)} ppm from the arrival times (the largest, if there were several).`,
    ),
    rectangularLine(
      "computer's clock",
      relativeToStops(COMPUTER_PPM * PPM),
      `±${COMPUTER_PPM} ppm assumed for a computer's clock that runs free (no source).`,
    ),
    rectangularLine(
      'clock warm-up',
      relativeToStops(WARM_UP),
      `±${percent(WARM_UP)} %: what a ceramic resonator drifts when the board warms by 10 K, a tenth of the ±${percent(TEMPERATURE)} % of makers' data sheets over a range of about 100 K (range assumed, no source).`,
    ),
  ];
}

function uncheckedClock(without: number, all: number): readonly BudgetLine[] {
  const why =
    without === all
      ? 'no clock check was made'
      : `no clock check for ${without} of ${firingCount(all)}, and the larger limit is taken for all of them`;
  return (
    [
      ['clock tolerance', TOLERANCE, 'as made'],
      ['clock temperature', TEMPERATURE, 'over its range of temperature'],
      ['clock ageing', AGEING, 'with age'],
    ] as const
  ).map(([source, limit, when]) =>
    rectangularLine(
      source,
      relativeToStops(limit),
      `±${percent(limit)} % for a ceramic resonator ${when} (makers' data sheets): ${why}.`,
    ),
  );
}

const percent = (share: number): string => String(Number((100 * share).toPrecision(2)));

const signedPpm = (ppm: number): string => {
  const figure = Math.abs(ppm).toFixed(0);
  if (Number(figure) === 0) return '0';
  return `${ppm < 0 ? '−' : '+'}${figure}`;
};
