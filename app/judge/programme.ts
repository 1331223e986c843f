/** The order in which the speeds of a job are fired, and how often each. */

export interface ProgrammeStep {
  /** Label of a mark; the same one may come again later. */
  readonly mark: string;
  /** Above zero. */
  readonly firings: number;
}

export interface Programme {
  readonly id: string;
  readonly name: string;
  readonly steps: readonly ProgrammeStep[];
}
