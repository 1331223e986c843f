import type { RecordType } from './record-types.ts';

/**
 * Changes the data of one kind of record from the version before `to` to `to`. It must not change its input.
 * Once released it never changes, and so calls nothing that may: a record written years ago must still find
 * its way.
 */
export interface Migration {
  readonly to: number;
  /** What changed, for whoever reads the history. */
  readonly what: string;
  readonly steps: { readonly [Type in RecordType]?: (data: unknown) => unknown };
}
