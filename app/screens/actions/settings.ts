import { keep, readKept } from './kept-in-browser.ts';

/** Seconds after which an exposure that has not ended is reported; the user's choice, kept in this browser. */
const KEY = 'leafclock.never-closes';
const DEFAULT = 30;

export function loadNeverCloses(): number {
  const kept = Number(readKept(KEY));
  return kept >= 2 && kept <= 3600 ? kept : DEFAULT;
}

/** Values outside 2 s to 1 h are refused by returning false. */
export function saveNeverCloses(seconds: number): boolean {
  if (!(seconds >= 2 && seconds <= 3600)) return false;
  keep(KEY, String(seconds));
  return true;
}
