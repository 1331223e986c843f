/** What was done to a shutter between firings: the notes that the effect of a change is read from. */

export const WORK_KINDS = ['governor', 'cleaned', 'lubricated', 'spring', 'blades', 'other'] as const;
export type WorkKind = (typeof WORK_KINDS)[number];

export interface WorkStep {
  readonly id: string;
  /** ISO 8601 with zone. */
  readonly at: string;
  /** Ordinal of the last firing of the job before it; 0: before any. */
  readonly afterFiring: number;
  readonly kind: WorkKind;
  /** Of the governor only: 'in' engages it more, so that the marks it serves last longer. */
  readonly direction: 'in' | 'out' | null;
  /** How far, where it is known: above zero, in whatever unit the user counts ('quarter turns', 'mm'). */
  readonly amount: { readonly value: number; readonly unit: string } | null;
  readonly note: string;
}
