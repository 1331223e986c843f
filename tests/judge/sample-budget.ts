import type { BudgetReading } from '../../app/judge/budget-reading.ts';
import { SET_UP_NOT_STATED } from '../../app/judge/set-up.ts';
import type { Budget, BudgetLine } from '../../app/judge/verdict.ts';
import type { Instants, Levels, ReferenceLevel } from '../../app/measure/figures.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { reading } from './sample-readings.ts';

export const TICK_HZ = 16e6;

/** Noisy enough to need no line, with a plateau of its own. */
export const LEVELS: Levels = {
  dark: 6,
  noise: 1,
  darkSamples: 4000,
  open: 206,
  openOrigin: 'plateau',
  openUncertainty: 0.1,
};

export const REFERENCE: ReferenceLevel = {
  height: 200,
  uncertainty: 0.4,
  firstTick: ticks(0),
  origin: 'slow firing',
};

/** A firing with straight edges of `edge` seconds each, `total` seconds from first to last light. */
export function sampleFiring(
  total: number,
  edge: number,
  changes: Partial<BudgetReading> & { readonly levels?: Levels } = {},
): BudgetReading {
  const { levels = LEVELS, ...rest } = changes;
  const instants: Instants = {
    firstLight: seconds(0.1),
    halfOpen: seconds(0.1 + edge / 2),
    fullOpen: seconds(0.1 + edge),
    closingStart: seconds(0.1 + total - edge),
    halfClosed: seconds(0.1 + total - edge / 2),
    lastLight: seconds(0.1 + total),
  };
  return {
    ...reading(total - edge),
    figures: { effective: seconds(total - edge), total: seconds(total), levels, instants, remarks: [] },
    firing: { spoilt: null, tickHz: TICK_HZ, firstTick: ticks(0) },
    reference: null,
    clockCorrection: null,
    setUp: SET_UP_NOT_STATED,
    ...rest,
  };
}

export const lineOf = (budget: Budget | null, source: BudgetLine['source']): BudgetLine | undefined =>
  budget?.lines.find((line) => line.source === source);
