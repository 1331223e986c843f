import { seriesFromLabels, timeOfLabel } from './series.ts';
import type { Series } from './verdict.ts';

export interface SeriesProblem {
  /** What was written, or '' when the whole list is meant. */
  readonly entry: string;
  readonly kind: 'empty' | 'unreadable' | 'zero' | 'too long' | 'duplicate';
  /** A sentence for the user. */
  readonly sentence: string;
}

export type OwnSeries =
  | { readonly ok: true; readonly series: Series }
  | { readonly ok: false; readonly problems: readonly SeriesProblem[] };

/**
 * A ring that engraves 60 means 1/60 by it. Beyond this many seconds a whole number is surely such an
 * engraving and not a time, and reading it as one would judge every firing by thousands.
 */
const LONGEST_SECONDS = 60;

/**
 * Reads a series as the user writes it: marks such as 1/60, 2, 2 s, 2", 0.5, B and T, separated by spaces,
 * commas, semicolons or line breaks, in any order. All problems are reported at once; nothing is dropped or
 * guessed. The series comes sorted: T, B, then from the slowest mark to the fastest.
 */
export function readOwnSeries(text: string, name = 'Own list', id = 'own'): OwnSeries {
  const entries = text
    .replace(/\s*\/\s*/g, '/')
    .replace(/(\d)\s*(?:s|sec|"|″|'')(?=[\s,;]|$)/gi, '$1')
    .split(/[\s,;]+/)
    .filter((entry) => entry !== '');
  if (entries.length === 0) {
    return failed([{ entry: '', kind: 'empty', sentence: 'The list has no marks in it.' }]);
  }

  const problems: SeriesProblem[] = [];
  const labels: string[] = [];
  for (const entry of entries) {
    const mark = readMark(entry);
    if (typeof mark !== 'string') {
      problems.push(mark);
      continue;
    }
    const twin = labels.find((label) => label === mark || sameTime(label, mark));
    if (twin === undefined) labels.push(mark);
    else problems.push({ entry, kind: 'duplicate', sentence: duplicateSentence(entry, twin) });
  }
  if (problems.length > 0) return failed(problems);

  const rank = (label: string) => timeOfLabel(label) ?? (label === 'T' ? Infinity : Number.MAX_VALUE);
  labels.sort((a, b) => (a === b ? 0 : rank(b) - rank(a)));
  return { ok: true, series: seriesFromLabels(id, name, labels) };
}

const failed = (problems: readonly SeriesProblem[]): OwnSeries => ({ ok: false, problems });

/** The label in its plain form, or what is wrong with it. */
function readMark(entry: string): string | SeriesProblem {
  if (/^[bt]$/i.test(entry)) return entry.toUpperCase();
  const fraction = /^(\d+)\/(\d+)$/.exec(entry);
  const label = fraction
    ? `${Number(fraction[1])}/${Number(fraction[2])}`
    : /^\d*\.?\d+$/.test(entry)
      ? String(Number(entry))
      : '';
  const time = timeOfLabel(label);
  if (time === null) {
    const sentence = `“${entry}” can't be read as a mark. Write 1/60, 2, 0.5, B or T.`;
    return { entry, kind: 'unreadable', sentence };
  }
  if (!(time > 0 && Number.isFinite(time))) {
    const sentence = `“${entry}” is no time above zero. Write decimals with a point: 0.5.`;
    return { entry, kind: 'zero', sentence };
  }
  if (time > LONGEST_SECONDS) {
    const sentence = `“${entry}” would be ${label} seconds. If the ring means a fraction, write 1/${label}.`;
    return { entry, kind: 'too long', sentence };
  }
  return label;
}

/** '0.5' and '1/2' are one mark: firings could be filed under either. */
function sameTime(one: string, other: string): boolean {
  const time = timeOfLabel(one);
  return time !== null && time === timeOfLabel(other);
}

const duplicateSentence = (entry: string, twin: string) =>
  entry.toUpperCase() === twin
    ? `“${entry}” stands in the list twice.`
    : `“${entry}” is the same speed as “${twin}”.`;
