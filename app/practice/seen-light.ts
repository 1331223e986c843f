import { openFraction } from './firing-plan.ts';
import { type LightLevels, lightCode, type Scene } from './light.ts';
import { ReferenceLed } from './reference-led.ts';
import { passingLight } from './seen-opening.ts';
import type { TrueFiring } from './true-firing.ts';

/** Channel the shutter's light falls on; the other two stay dark. */
const LIT_CHANNEL = 0;

/** What stands between lamp and sensor now. */
interface Sight {
  readonly iris: number;
  readonly seenShare: number;
}

/** The light on each of the board's channels at any cycle: lamp through shutter and iris, and reference light. */
export class SeenLight {
  readonly #noiseSeed: number;
  readonly #referenceLed = new ReferenceLed();
  readonly #dark: Scene;
  #lit: Scene;

  constructor(
    noiseSeed: number,
    cyclesPerSecond: number,
    now: { readonly firings: () => readonly TrueFiring[]; readonly sight: () => Sight },
  ) {
    this.#noiseSeed = noiseSeed;
    this.#lit = {
      passes: (cycle) => {
        const firing = now.firings().findLast((one) => one.startCycle <= cycle);
        if (firing === undefined) return 0;
        const { iris, seenShare } = now.sight();
        const fraction = openFraction(firing.plan, (cycle - firing.startCycle) / cyclesPerSecond);
        return passingLight(fraction, iris, seenShare);
      },
      referenceIsLit: (cycle) => this.#referenceLed.isLit(cycle),
      cyclesPerSecond,
      levelsSetAt: 0,
    };
    this.#dark = { ...this.#lit, passes: () => 0, referenceIsLit: () => false };
  }

  /** Converter code, not yet cut to a whole number, that a sample of this channel held at this cycle gets. */
  code(levels: LightLevels, channel: number, cycle: number): number {
    const scene = channel === LIT_CHANNEL ? this.#lit : this.#dark;
    return lightCode(levels, scene, this.#noiseSeed + channel, cycle);
  }

  /** The lamp drifts from here. */
  levelsSet(cycle: number): void {
    this.#lit = { ...this.#lit, levelsSetAt: cycle };
  }

  referenceChanged(lit: boolean, cycle: number): void {
    this.#referenceLed.change(lit, cycle);
  }
}
