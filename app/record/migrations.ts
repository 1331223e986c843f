/** How records of older versions are brought up to the present one. */
import type { Migration } from './migration.ts';
import { TO_VERSION_2 } from './migration-2.ts';
import { TO_VERSION_3 } from './migration-3.ts';
import { TO_VERSION_4 } from './migration-4.ts';
import type { RecordType } from './record-types.ts';

/** The next: { to: 5, what: '…', steps: { job: (data) => … } }. */
export const MIGRATIONS: readonly Migration[] = [TO_VERSION_2, TO_VERSION_3, TO_VERSION_4];

/** The version that a list of migrations ends at: 1 for an empty list. RangeError for a gap or a wrong order. */
export function versionAfter(migrations: readonly Migration[]): number {
  migrations.forEach(({ to }, index) => {
    if (to !== index + 2) {
      throw new RangeError(
        `Migration number ${index + 1} leads to version ${to}; it must lead to ${index + 2}.`,
      );
    }
  });
  return migrations.length + 1;
}

/** Brings data of version `from` up to the end of the list. `from` is a whole number from 1 to that version. */
export function migrate(
  type: RecordType,
  data: unknown,
  from: number,
  migrations: readonly Migration[],
): unknown {
  return migrations
    .filter(({ to }) => to > from)
    .reduce((current, { steps }) => (steps[type] ? steps[type](current) : current), data);
}
