/** One board, one tab: held for as long as a port is open. A tab that is closed or dies lets go by itself. */
const NAME = 'leafclock-board';

let letGo: (() => void) | null = null;

/** False when another tab has a board. Held already: true. */
export function holdBoard(): Promise<boolean> {
  if (letGo !== null) return Promise.resolve(true);
  // A browser without locks has no second tab that could be asked.
  if (!navigator.locks) return Promise.resolve(true);
  return new Promise((answer) => {
    navigator.locks
      .request(NAME, { ifAvailable: true }, (lock) => {
        answer(lock !== null);
        return lock && new Promise<void>((resolve) => (letGo = resolve));
      })
      .catch(() => answer(true));
  });
}

export function letGoOfBoard(): void {
  letGo?.();
  letGo = null;
}
