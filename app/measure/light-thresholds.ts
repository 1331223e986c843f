/** Where light begins and where it has gone, in codes; apart from each other, so that noise can't toggle them. */
export class LightThresholds {
  /** Light from this code on. */
  on = Number.POSITIVE_INFINITY;
  /** Gone below this level. */
  off = 0;
  #dark = 0;
  #noise = 0;
  #peak = 0;

  /** A new dark level, and the noise of one sample in it. */
  setDark(dark: number, noise: number): void {
    this.#dark = dark;
    this.#noise = noise;
    this.on = Math.ceil(dark + Math.max(6 * noise, 4));
  }

  /** A firing begins. */
  resetPeak(): void {
    this.#peak = 0;
  }

  /** Light left over at 5 % of the highest seen counts as gone: a blade that doesn't quite shut. */
  follow(value: number): void {
    if (value <= this.#peak) return;
    this.#peak = value;
    this.off = this.#dark + Math.max(3.5 * this.#noise, 2.5, 0.05 * (value - this.#dark));
  }
}
