import { Random } from '../../app/practice/random.ts';

export type DamageKind = 'flipped' | 'dropped' | 'doubled' | 'inserted';
export const DAMAGE_KINDS: readonly DamageKind[] = ['flipped', 'dropped', 'doubled', 'inserted'];

export interface DamageOptions {
  /** Damages per byte, on average; 0 for a sound line. */
  readonly rate: number;
  /** All kinds, each as likely, when left out. */
  readonly kinds?: readonly DamageKind[];
  readonly seed: number;
}

/** One damage: what happened to the byte at `offset` of the bytes handed in. */
export interface Damage {
  readonly kind: DamageKind;
  readonly offset: number;
}

/**
 * A bad line: one bit of a byte flipped, a byte lost, a byte twice, a byte from nowhere. Where and how
 * follows from the seed and the bytes' places alone, not from how they are divided into calls.
 */
export class LineDamage {
  readonly #random: Random;
  readonly #rate: number;
  readonly #kinds: readonly DamageKind[];
  #untilNext: number;

  constructor({ rate, kinds = DAMAGE_KINDS, seed }: DamageOptions) {
    if (!(rate >= 0 && rate < 1)) throw new RangeError(`A rate of damages is from 0 to below 1, not ${rate}`);
    if (kinds.length === 0) throw new RangeError('Damage needs at least one kind');
    this.#random = new Random(seed);
    this.#rate = rate;
    this.#kinds = kinds;
    this.#untilNext = this.#gap();
  }

  pass(bytes: Uint8Array): { bytes: Uint8Array; damages: Damage[] } {
    if (this.#untilNext >= bytes.length) {
      this.#untilNext -= bytes.length;
      return { bytes, damages: [] };
    }
    const passed: number[] = [];
    const damages: Damage[] = [];
    bytes.forEach((byte, offset) => {
      if (this.#untilNext-- > 0) {
        passed.push(byte);
        return;
      }
      this.#untilNext = this.#gap();
      const kind = this.#kinds[this.#below(this.#kinds.length)] as DamageKind;
      damages.push({ kind, offset });
      if (kind === 'flipped') passed.push(byte ^ (1 << this.#below(8)));
      if (kind === 'doubled') passed.push(byte, byte);
      if (kind === 'inserted') passed.push(this.#below(256), byte);
    });
    return { bytes: Uint8Array.from(passed), damages };
  }

  /** Sound bytes before the next damage: a geometric distribution, drawn from its inverse. */
  #gap(): number {
    if (this.#rate === 0) return Number.POSITIVE_INFINITY;
    return Math.floor(Math.log(this.#random.uniform()) / Math.log1p(-this.#rate));
  }

  #below(limit: number): number {
    return Math.floor(this.#random.uniform() * limit);
  }
}
