/**
 * Values in ascending order, kept so that one more, or the one at a rank, costs log n: a weight-balanced tree
 * (S. Adams, J. Funct. Program. 3 (1993) 553; balance 3 and rotation 2 after Y. Hirai and K. Yamamoto,
 * J. Funct. Program. 21 (2011) 287; both from memory). Nothing is changed in place: an earlier tree stays what it
 * was and shares most of its branches with the later one.
 */
export type Ordered<Value extends number> = Branch<Value> | null;

export interface Branch<Value extends number> {
  readonly value: Value;
  /** Values in this branch, its own included. */
  readonly size: number;
  /** None of them above `value`. */
  readonly lower: Ordered<Value>;
  /** None of them below `value`. */
  readonly upper: Ordered<Value>;
}

/** A side may weigh at most so many times the other … */
const BALANCE = 3;
/** … and is turned about once if its inner part weighs less than this many times its outer part, else twice. */
const ROTATION = 2;

/** With `value` added; equal values are kept side by side. `value` is not NaN. */
export function insertValue<Value extends number>(ordered: Ordered<Value>, value: Value): Branch<Value> {
  if (ordered === null) return branch(null, value, null);
  return value < ordered.value
    ? balanced(insertValue(ordered.lower, value), ordered.value, ordered.upper)
    : balanced(ordered.lower, ordered.value, insertValue(ordered.upper, value));
}

/**
 * The value at a rank: 0 is the least, size − 1 the greatest.
 *
 * @throws RangeError if there is no such rank.
 */
export function valueAt<Value extends number>(ordered: Ordered<Value>, rank: number): Value {
  let here = ordered;
  let left = rank;
  while (here !== null) {
    const below = sizeOf(here.lower);
    if (left === below) return here.value;
    if (left < below) here = here.lower;
    else {
      left -= below + 1;
      here = here.upper;
    }
  }
  throw new RangeError(`There is no rank ${rank} among ${sizeOf(ordered)} values.`);
}

export const sizeOf = (ordered: Ordered<number>): number => (ordered === null ? 0 : ordered.size);

/** One more than the size, so that an empty side has a weight to compare. */
const weight = (ordered: Ordered<number>) => sizeOf(ordered) + 1;

function branch<Value extends number>(
  lower: Ordered<Value>,
  value: Value,
  upper: Ordered<Value>,
): Branch<Value> {
  return { value, size: sizeOf(lower) + 1 + sizeOf(upper), lower, upper };
}

/** A branch of two sides that were in balance before one of them got one value more. */
function balanced<Value extends number>(
  lower: Ordered<Value>,
  value: Value,
  upper: Ordered<Value>,
): Branch<Value> {
  if (upper !== null && weight(upper) > BALANCE * weight(lower)) {
    const inner = upper.lower;
    if (inner === null || weight(inner) < ROTATION * weight(upper.upper)) {
      return branch(branch(lower, value, inner), upper.value, upper.upper);
    }
    return branch(
      branch(lower, value, inner.lower),
      inner.value,
      branch(inner.upper, upper.value, upper.upper),
    );
  }
  if (lower !== null && weight(lower) > BALANCE * weight(upper)) {
    const inner = lower.upper;
    if (inner === null || weight(inner) < ROTATION * weight(lower.lower)) {
      return branch(lower.lower, lower.value, branch(inner, value, upper));
    }
    return branch(
      branch(lower.lower, lower.value, inner.lower),
      inner.value,
      branch(inner.upper, value, upper),
    );
  }
  return branch(lower, value, upper);
}
