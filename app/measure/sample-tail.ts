/**
 * The newest samples of one channel in one growing block of bytes: as many as anyone still needs, with
 * the tick of the first. Positions count from the first sample held; dropping shifts them.
 */
export class SampleTail {
  #bytes: Uint8Array;
  #length = 0;
  #firstTick = 0;
  readonly #least: number;

  constructor(
    least: number,
    readonly ticksPerSample: number,
  ) {
    this.#least = least;
    this.#bytes = new Uint8Array(least);
  }

  get length(): number {
    return this.#length;
  }

  /** The samples themselves; valid up to `length` and until the next call that changes them. */
  get bytes(): Uint8Array {
    return this.#bytes;
  }

  tickAt(position: number): number {
    return this.#firstTick + position * this.ticksPerSample;
  }

  /** Appends values[from] … values[to − 1]; `tick` belongs to values[from]. Cost: a copy, doubling as needed. */
  append(values: Uint8Array, from: number, to: number, tick: number): void {
    const needed = this.#length + to - from;
    if (needed > this.#bytes.length) {
      const larger = new Uint8Array(Math.max(needed, 2 * this.#bytes.length));
      larger.set(this.#bytes.subarray(0, this.#length));
      this.#bytes = larger;
    }
    this.#bytes.set(values.subarray(from, to), this.#length);
    this.#firstTick = tick - this.#length * this.ticksPerSample;
    this.#length = needed;
  }

  /** Forgets the first `count` samples, and the room a long firing took. */
  drop(count: number): void {
    const kept = this.#length - count;
    if (this.#bytes.length > 4 * this.#least && kept < this.#least) {
      const smaller = new Uint8Array(this.#least);
      smaller.set(this.#bytes.subarray(count, this.#length));
      this.#bytes = smaller;
    } else {
      this.#bytes.copyWithin(0, count, this.#length);
    }
    this.#firstTick += count * this.ticksPerSample;
    this.#length = kept;
  }

  copy(from: number, to: number): Uint8Array {
    return this.#bytes.slice(from, to);
  }
}
