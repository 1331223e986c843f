interface Change {
  readonly cycle: number;
  readonly lit: boolean;
}

/** Samples are held up to some hundred cycles before they are asked for, and a detector lags by up to 50 ms. */
const CHANGES_KEPT = 1024;

/** The reference light on D9: when it was lit, as far back as anyone asks. */
export class ReferenceLed {
  #changes: Change[] = [];

  /** `cycle` may not lie before the change before. */
  change(lit: boolean, cycle: number): void {
    this.#changes.push({ cycle, lit });
    if (this.#changes.length > 2 * CHANGES_KEPT) this.#changes = this.#changes.slice(-CHANGES_KEPT);
  }

  isLit(cycle: number): boolean {
    for (let n = this.#changes.length - 1; n >= 0; n--) {
      const { cycle: since, lit } = this.#changes[n]!;
      if (since <= cycle) return lit;
    }
    return false;
  }
}
