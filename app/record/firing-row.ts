import type { Firing } from '../measure/figures.ts';
import type { FiringRecord } from './job.ts';

/**
 * A firing as lists need it. The samples are kept apart, under the same id, since a job of fifty firings
 * holds megabytes of them and a table needs none.
 */
export type FiringRow = Omit<FiringRecord, 'firing'> & {
  readonly firing: Omit<Firing, 'samples'> & { readonly sampleCount: number };
};

/**
 * The samples come as a copy with a buffer of their own: storing a view would store the whole stream buffer
 * that it looks into.
 */
export function splitFiring(record: FiringRecord): { row: FiringRow; samples: Uint8Array } {
  const { samples, ...rest } = record.firing;
  return { row: { ...record, firing: { ...rest, sampleCount: samples.length } }, samples: samples.slice() };
}

export function joinFiring(row: FiringRow, samples: Uint8Array): FiringRecord {
  const { sampleCount: _, ...rest } = row.firing;
  return { ...row, firing: { ...rest, samples } };
}
