/** What the uncertainty budget looks at in a firing, and the arithmetic its lines share. */
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { ClockCorrection, Figures, Firing, ReferenceLevel } from '../measure/figures.ts';
import type { Reading } from './counted-readings.ts';
import type { SetUp } from './set-up.ts';
import type { BudgetLine } from './verdict.ts';

/** A row of the record has this shape. */
export interface BudgetReading extends Reading {
  readonly figures: Reading['figures'] &
    Pick<Figures, 'effective' | 'total' | 'levels' | 'instants' | 'remarks'>;
  readonly firing: Reading['firing'] & Pick<Firing, 'tickHz' | 'firstTick'>;
  /** The reference level in force, whether it was used or not. */
  readonly reference: ReferenceLevel | null;
  readonly clockCorrection: ClockCorrection | null;
  readonly setUp: SetUp;
}

/** A small relative error as stops, in first order: log2(1 + x) ≈ x / ln 2. */
export const relativeToStops = (share: number): Stops => stops(share / Math.LN2);

/** A type B line whose error lies anywhere between ± halfWidth with equal chance: u = halfWidth / √3 (GUM 4.3.7). */
export function rectangularLine(source: BudgetLine['source'], halfWidth: Stops, origin: string): BudgetLine {
  return {
    source,
    type: 'B',
    distribution: 'rectangular',
    halfWidth,
    u: stops(halfWidth / Math.sqrt(3)),
    dof: Number.POSITIVE_INFINITY,
    origin,
  };
}

export function normalLine(source: BudgetLine['source'], u: Stops, origin: string): BudgetLine {
  return {
    source,
    type: 'B',
    distribution: 'normal',
    halfWidth: null,
    u,
    dof: Number.POSITIVE_INFINITY,
    origin,
  };
}

/** '3 firings', '1 firing'. */
export const firingCount = (n: number): string => `${n} ${n === 1 ? 'firing' : 'firings'}`;
