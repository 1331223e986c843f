/**
 * Probabilities raised for how many were looked at, so that the chance of one false alarm among them stays what was
 * asked for: the smallest times their number, the next times one less, never falling (Holm, Scand. J. Statist. 6 (1979)
 * 65; from memory). In the order given.
 */
export function holmAdjusted(probabilities: readonly number[]): readonly number[] {
  const count = probabilities.length;
  const adjusted = new Array<number>(count).fill(1);
  const bySize = probabilities.map((probability, index) => ({ probability, index }));
  let largest = 0;
  for (const [rank, { probability, index }] of bySize
    .toSorted((a, b) => a.probability - b.probability)
    .entries()) {
    largest = Math.max(largest, Math.min(1, probability * (count - rank)));
    adjusted[index] = largest;
  }
  return adjusted;
}
