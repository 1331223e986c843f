/** The list of mechanical checks as it is edited: every change gives a new list. Names are unique. */
import { MECHANICAL_STATES, type MechanicalCheck, type MechanicalState } from '../judge/camera-checks.ts';

type List = readonly MechanicalCheck[];

/** Spaces and letter case tell no two checks apart. */
const key = (name: string): string => name.trim().replace(/\s+/g, ' ').toLowerCase();

const newCheck = (id: string, name: string): MechanicalCheck => ({
  id,
  name: name.trim(),
  state: 'not tested',
  note: '',
});

/** Nobody has said anything of it yet. */
const isUntouched = ({ state, note }: MechanicalCheck): boolean => state === 'not tested' && note === '';

/**
 * The items of another list in its order. What has been said of a check stays, and a check of the old list that
 * something was said of is kept at the end; those that nothing was said of go.
 */
export function takeOver(list: List, items: readonly string[], newId: () => string): List {
  const kept = new Map(list.map((check) => [key(check.name), check]));
  const taken = new Map<string, MechanicalCheck>();
  for (const item of items) {
    const name = key(item);
    if (name !== '' && !taken.has(name)) taken.set(name, kept.get(name) ?? newCheck(newId(), item));
  }
  return [...taken.values(), ...list.filter((check) => !taken.has(key(check.name)) && !isUntouched(check))];
}

/** What is wrong with a name for a check, in a sentence; empty when it will do. `id`: the check that gets it. */
export function nameProblem(list: List, name: string, id: string | null = null): string {
  if (name.trim() === '') return 'A check needs a name.';
  return list.some((check) => check.id !== id && key(check.name) === key(name))
    ? `“${name.trim()}” is in the list already.`
    : '';
}

export const added = (list: List, id: string, name: string): List => [...list, newCheck(id, name)];

export const removed = (list: List, id: string): List => list.filter((check) => check.id !== id);

export const changed = (list: List, id: string, part: Partial<Omit<MechanicalCheck, 'id'>>): List =>
  list.map((check) => (check.id === id ? { ...check, ...part } : check));

/** A check moved by so many places; it stops at the ends. */
export function moved(list: List, id: string, places: number): List {
  const from = list.findIndex((check) => check.id === id);
  if (from < 0) return list;
  const rest = list.filter((check) => check.id !== id);
  rest.splice(Math.min(rest.length, Math.max(0, from + places)), 0, list[from]!);
  return rest;
}

/** First letters, and T for the second of two that begin alike. */
export const STATE_KEYS: Readonly<Record<MechanicalState, string>> = {
  good: 'g',
  adjusted: 'a',
  fault: 'f',
  'not fitted': 'n',
  'not tested': 't',
};

export const stateOfKey = (pressed: string): MechanicalState | null =>
  MECHANICAL_STATES.find((state) => STATE_KEYS[state] === pressed.toLowerCase()) ?? null;

/** '12 checks: 9 good, 1 fault, 2 not tested'. */
export function countsWords(list: List): string {
  if (list.length === 0) return 'no checks yet';
  const counts = MECHANICAL_STATES.flatMap((state) => {
    const n = list.filter((check) => check.state === state).length;
    // Only faults have a plural here.
    return n === 0 ? [] : [`${n} ${state === 'fault' && n !== 1 ? 'faults' : state}`];
  });
  return `${list.length} ${list.length === 1 ? 'check' : 'checks'}: ${counts.join(', ')}`;
}
