/** Runs the contenders in turn, A B C A B C …, so that a drift of the machine's speed touches all alike. */
export function takeTurns<Name extends string>(
  contenders: Readonly<Record<Name, () => void>>,
  rounds: number,
): Record<Name, readonly number[]> {
  const names = Object.keys(contenders) as Name[];
  const times = Object.fromEntries(names.map((name) => [name, [] as number[]])) as Record<Name, number[]>;
  for (let round = -WARM_UP_ROUNDS; round < rounds; round++) {
    for (const name of names) {
      const begun = performance.now();
      contenders[name]();
      const time = performance.now() - begun;
      if (round >= 0) times[name].push(time);
    }
  }
  return times;
}

/** Rounds that are not counted: the engine compiles what it runs often. */
const WARM_UP_ROUNDS = 5;

export const median = (values: readonly number[]): number => percentile(values, 50);

/** By nearest rank: one of the values. */
export function percentile(values: readonly number[], percent: number): number {
  if (values.length === 0) throw new Error('There is no percentile of no values');
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.max(Math.ceil((percent / 100) * sorted.length) - 1, 0)]!;
}

/** Digits enough to compare by. */
export const rounded = (value: number): string => value.toLocaleString('en', { maximumSignificantDigits: 3 });
