/** Mean of the light over stretches of fixed length, for a live display. */
export class LiveLevel {
  readonly #samples: number;
  #sum = 0;
  #count = 0;

  constructor(samples: number) {
    this.#samples = samples;
  }

  /** The mean when a stretch is full, else null. */
  add(value: number): number | null {
    this.#sum += value;
    if (++this.#count < this.#samples) return null;
    const mean = this.#sum / this.#count;
    this.reset();
    return mean;
  }

  reset(): void {
    this.#sum = 0;
    this.#count = 0;
  }
}
