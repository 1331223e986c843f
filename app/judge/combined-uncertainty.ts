import tQuantile from '@stdlib/stats-base-dists-t-quantile';

/** A contribution to an uncertainty: its standard uncertainty and the degrees of freedom behind it. */
export interface Contribution {
  readonly u: number;
  /** Infinity where the value is not from a finite number of observations. */
  readonly dof: number;
}

export interface CombinedUncertainty {
  /** Root of the sum of squares: the contributions are taken as independent of each other. */
  readonly combined: number;
  /** Effective degrees of freedom, not rounded; Infinity when no contribution has finite ones. */
  readonly dof: number;
  /** Coverage factor. */
  readonly k: number;
  /** k · combined. */
  readonly expanded: number;
}

/** The t quantile of this many degrees of freedom is the normal one to twelve digits; beyond it the library gives none. */
const AS_GOOD_AS_NORMAL = 1e12;
/** Whole degrees of freedom may come out of a division a rounding error short of their number. */
const ROUNDING = 1e-9;

/**
 * Combined and expanded uncertainty of independent contributions, all in one unit (JCGM 100:2008, GUM):
 * u_c by the sum of squares (5.1.2), effective degrees of freedom by Welch–Satterthwaite (G.4.1), k as the
 * two-sided Student t quantile for `coverage` (G.6.4). Degrees of freedom are cut to a whole number for k,
 * which is one of the two ways G.4.1 offers and the safe one; `dof` is given uncut.
 *
 * @throws RangeError unless each u is finite and at least 0, and each dof at least 1.
 */
export function combine(lines: readonly Contribution[], coverage = 0.95): CombinedUncertainty {
  for (const { u, dof } of lines) {
    if (!(u >= 0 && Number.isFinite(u) && dof >= 1)) {
      throw new RangeError(
        `A standard uncertainty of ${u} with ${dof} degrees of freedom can't be combined.`,
      );
    }
  }
  const combined = Math.hypot(...lines.map(({ u }) => u));
  // Shares of the whole, not fourth powers of u, which could underflow to 0/0.
  const spread = combined === 0 ? 0 : lines.reduce((sum, { u, dof }) => sum + (u / combined) ** 4 / dof, 0);
  const dof = spread === 0 ? Number.POSITIVE_INFINITY : 1 / spread;
  const k = coverageFactor(dof, coverage);
  return { combined, dof, k, expanded: k * combined };
}

function coverageFactor(dof: number, coverage: number): number {
  const whole = Math.min(Math.floor(dof + ROUNDING), AS_GOOD_AS_NORMAL);
  return tQuantile((1 + coverage) / 2, whole);
}
