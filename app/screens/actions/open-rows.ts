/** Rows of the open job's firings, as they are kept: held here, outside the view. */
import type { FiringRow } from '../../record/firing-row.ts';
import { view } from '../view.ts';

const rows = new Map<string, FiringRow>();

/** The rows of a job that has just been opened take the place of those before. Returned in the order of firing. */
export function openRows(opened: readonly FiringRow[]): readonly FiringRow[] {
  rows.clear();
  for (const row of opened) rows.set(row.id, row);
  return [...rows.values()].sort((a, b) => a.ordinal - b.ordinal);
}

export const rowOf = (id: string | null): FiringRow | undefined => (id === null ? undefined : rows.get(id));

/** That of the latest firing. */
export const lastRow = (): FiringRow | null =>
  [...rows.values()].reduce<FiringRow | null>(
    (last, row) => (last && last.ordinal > row.ordinal ? last : row),
    null,
  );

/** Rows are held for the open job only. */
export function keepRow(row: FiringRow): void {
  if (view.getState().job?.id === row.jobId) rows.set(row.id, row);
}
