import { expect, it } from 'vitest';
import type { MechanicalCheck } from '../../app/judge/camera-checks.ts';
import {
  added,
  changed,
  countsWords,
  moved,
  nameProblem,
  removed,
  stateOfKey,
  takeOver,
} from '../../app/screens/camera-mechanics-list.ts';

const check = (name: string, part: Partial<MechanicalCheck> = {}): MechanicalCheck => ({
  id: `id of ${name}`,
  name,
  state: 'not tested',
  note: '',
  ...part,
});
const names = (list: readonly MechanicalCheck[]) => list.map(({ name }) => name);
let next = 0;
const newId = () => `new ${next++}`;

const list = [check('Focus', { state: 'good' }), check('Blades', { note: 'oily' }), check('Covering')];

it('a list taken over keeps what was said, and leaves out what nothing was said of', () => {
  const taken = takeOver(list, ['Back catch', 'focus ', 'Light seals'], newId);
  expect(names(taken)).toEqual(['Back catch', 'Focus', 'Light seals', 'Blades']);
  expect(taken[1]).toMatchObject({ id: 'id of Focus', state: 'good' });
  expect(new Set(taken.map(({ id }) => id)).size).toBe(taken.length);
  expect(takeOver(taken, names(taken), newId)).toEqual(taken);
  expect(names(takeOver([], ['A', 'a', ' ', 'B'], newId))).toEqual(['A', 'B']);
});

it('names are there and unlike each other, whatever their spaces and capitals', () => {
  expect(nameProblem(list, '  ')).not.toBe('');
  expect(nameProblem(list, 'FOCUS')).toContain('in the list already');
  expect(nameProblem(list, ' focus', 'id of Focus')).toBe('');
  expect(nameProblem(list, 'Mirror')).toBe('');
});

it('is changed, moved, added to and shortened', () => {
  expect(names(moved(list, 'id of Covering', -1))).toEqual(['Focus', 'Covering', 'Blades']);
  expect(names(moved(list, 'id of Focus', -1))).toEqual(names(list));
  expect(names(moved(list, 'id of Covering', 1))).toEqual(names(list));
  expect(changed(list, 'id of Blades', { state: 'fault' })[1]).toMatchObject({
    state: 'fault',
    note: 'oily',
  });
  expect(names(removed(list, 'id of Blades'))).toEqual(['Focus', 'Covering']);
  expect(added(list, 'x', ' Mirror ').at(-1)).toEqual({
    id: 'x',
    name: 'Mirror',
    state: 'not tested',
    note: '',
  });
});

it('every state has a letter', () => {
  expect([...'gafnT'].map(stateOfKey)).toEqual(['good', 'adjusted', 'fault', 'not fitted', 'not tested']);
  expect(stateOfKey('x')).toBeNull();
});

it('is counted in words, one and many', () => {
  expect(countsWords([])).toBe('no checks yet');
  expect(countsWords([check('A', { state: 'fault' })])).toBe('1 check: 1 fault');
  const many = ['good', 'good', 'fault', 'fault', 'not fitted'] as const;
  expect(countsWords(many.map((state, i) => check(String(i), { state })))).toBe(
    '5 checks: 2 good, 2 faults, 1 not fitted',
  );
});
