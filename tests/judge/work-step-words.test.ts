import { describe, expect, it } from 'vitest';
import type { WorkStep } from '../../app/judge/work-step.ts';
import { workStepWords } from '../../app/judge/work-step-words.ts';

const step = (part: Partial<WorkStep>): WorkStep => ({
  id: 'a',
  at: '2026-03-02T09:00:00Z',
  afterFiring: 3,
  kind: 'governor',
  direction: null,
  amount: null,
  note: '',
  ...part,
});

describe('a work note in words', () => {
  it('tells direction and amount of the governor', () => {
    const amount = { value: 0.25, unit: 'turns' };
    expect(workStepWords(step({ direction: 'in', amount }))).toBe('governor in by 0.25 turns');
    expect(workStepWords(step({ direction: 'out', amount: { value: 1, unit: 'turns' } }))).toBe(
      'governor out by 1 turn',
    );
    expect(workStepWords(step({ direction: 'out', amount: { value: 1, unit: 'ms' } }))).toBe(
      'governor out by 1 ms',
    );
  });

  it('puts the note behind it, or lets it stand alone', () => {
    expect(workStepWords(step({ kind: 'cleaned', note: 'escapement.' }))).toBe('cleaned: escapement');
    expect(workStepWords(step({ kind: 'other', note: 'new washer' }))).toBe('new washer');
    expect(workStepWords(step({ kind: 'other' }))).toBe('something else');
  });
});
