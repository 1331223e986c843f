/**
 * The samples of one firing with their running sums, so that a mean or an integral over any stretch costs
 * the same however long it is. Positions are in samples from the first one and may be fractional; between
 * samples the light is taken as straight.
 */
export class LightCurve {
  readonly length: number;
  /** sums[i] = values[0] + … + values[i − 1] */
  readonly #sums: Float64Array;

  constructor(readonly values: ArrayLike<number>) {
    const n = values.length;
    const sums = new Float64Array(n + 1);
    let sum = 0;
    for (let i = 0; i < n; i++) {
      sum += values[i]!;
      sums[i + 1] = sum;
    }
    this.#sums = sums;
    this.length = n;
  }

  /** Mean of values[from] … values[to − 1], cut to the record; NaN when nothing is left. */
  mean(from: number, to: number): number {
    const a = Math.max(from, 0);
    const b = Math.min(to, this.length);
    return b > a ? (this.#sums[b]! - this.#sums[a]!) / (b - a) : Number.NaN;
  }

  /** Highest mean of `width` neighbouring samples among values[from] … values[to − 1]; −∞ if there are too few. */
  highestMean(from: number, to: number, width: number): number {
    const sums = this.#sums;
    let highest = Number.NEGATIVE_INFINITY;
    for (let i = from; i + width <= to; i++) {
      const sum = sums[i + width]! - sums[i]!;
      if (sum > highest) highest = sum;
    }
    return highest / width;
  }

  /** First i from `from` on at which the mean of values[i] … values[i + width − 1] is at most `level`, or the length. */
  firstBelow(from: number, width: number, level: number): number {
    const sums = this.#sums;
    const limit = level * width;
    let i = from;
    while (i + width <= this.length && sums[i + width]! - sums[i]! > limit) i++;
    if (i + width <= this.length) return i;
    while (i < this.length && this.mean(i, this.length) > level) i++;
    return i;
  }

  /** Mean of the `width` samples (odd) centred on sample i. */
  smoothed(i: number, width: number): number {
    const side = (width - 1) >> 1;
    return this.mean(i - side, i + side + 1);
  }

  /**
   * Integral of (value − base) from one position to another, in codes times samples, by trapezoids whose
   * first and last may be fractions of a sample. Positions outside the record are cut to it.
   */
  integral(from: number, to: number, base: number): number {
    const last = this.length - 1;
    const a = Math.min(Math.max(from, 0), last);
    const b = Math.min(Math.max(to, 0), last);
    if (!(b > a)) return 0;
    const first = Math.ceil(a);
    const end = Math.floor(b);
    if (first > end) return ((this.at(a) + this.at(b)) / 2 - base) * (b - a);
    const values = this.values;
    const sums = this.#sums;
    const whole = sums[end + 1]! - sums[first]! - (values[first]! + values[end]!) / 2;
    const head = ((this.at(a) + values[first]!) / 2) * (first - a);
    const tail = ((values[end]! + this.at(b)) / 2) * (b - end);
    return whole + head + tail - base * (b - a);
  }

  private at(position: number): number {
    const i = Math.floor(position);
    const value = this.values[i]!;
    return i + 1 < this.length ? value + (this.values[i + 1]! - value) * (position - i) : value;
  }
}
