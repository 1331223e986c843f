/** What a part of the bench finds out. */
export interface Figure {
  /** In words, without the unit. */
  readonly quantity: string;
  readonly value: number;
  readonly unit: string;
  /** Inclusive; null for a figure that only informs. */
  readonly expectation: { readonly least: number } | { readonly most: number } | null;
  /** Best round, load, what was compared: for the reader. */
  readonly detail: string;
}

export type Part = () => Promise<readonly Figure[]>;

/** Null where nothing is expected. */
export function isMet({ value, expectation }: Figure): boolean | null {
  if (expectation === null) return null;
  return 'least' in expectation ? value >= expectation.least : value <= expectation.most;
}
