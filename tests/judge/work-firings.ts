/** Firings of a job before and after work, from errors written down. */
import { timeOfLabel } from '../../app/judge/series.ts';
import type { AssemblyState, WorkReading } from '../../app/judge/work-segments.ts';
import type { WorkStep } from '../../app/judge/work-step.ts';
import { reading } from './sample-readings.ts';

export const BARE: AssemblyState = {
  mounting: 'bare',
  cells: 'out',
  iris: 'wide open',
  release: 'by hand',
  cocking: 'lever',
  attitude: '',
};
export const IN_BODY: AssemblyState = { ...BARE, mounting: 'in the body' };

/** A firing at this mark, off by so many stops. */
export interface Fired {
  readonly mark: string;
  readonly error: number;
  readonly assembly?: AssemblyState;
  readonly setAside?: string;
}

export const shots = (mark: string, errors: readonly number[], assembly = BARE): readonly Fired[] =>
  errors.map((error) => ({ mark, error, assembly }));

/** Ordinals from 1 on. */
export const fired = (...groups: (readonly Fired[])[]): WorkReading[] =>
  groups.flat().map(({ mark, error, assembly = BARE, setAside }, index) => ({
    ...reading((timeOfLabel(mark) ?? 1) * 2 ** error),
    mark,
    ordinal: index + 1,
    assembly,
    setAside: setAside ?? null,
  }));

export const step = (afterFiring: number, more: Partial<WorkStep> = {}): WorkStep => ({
  id: `step after ${afterFiring}`,
  at: '2026-03-01T10:00:00+01:00',
  afterFiring,
  kind: 'cleaned',
  direction: null,
  amount: null,
  note: '',
  ...more,
});

export const governor = (
  afterFiring: number,
  direction: WorkStep['direction'],
  value: number,
  unit = 'quarter turns',
) => step(afterFiring, { kind: 'governor', direction, amount: { value, unit } });
