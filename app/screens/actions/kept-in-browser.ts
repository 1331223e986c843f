/**
 * Small choices that are kept in this browser. One that keeps nothing for a page throws: then nothing is kept, and
 * that is no trouble.
 */
type Place = 'localStorage' | 'sessionStorage';

/** `sessionStorage`: for this tab alone, over a reload. */
export function readKept(key: string, place: Place = 'localStorage'): string | null {
  try {
    return globalThis[place].getItem(key);
  } catch {
    return null;
  }
}

/** Null takes it away. */
export function keep(key: string, value: string | null, place: Place = 'localStorage'): void {
  try {
    if (value === null) globalThis[place].removeItem(key);
    else globalThis[place].setItem(key, value);
  } catch {
    // See above.
  }
}
