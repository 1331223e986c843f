import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { NO_FIGURES } from '../../app/measure/figures.ts';
import { newJob } from '../../app/record/new-job.ts';
import { followProgramme, placeOf, repeatLast } from '../../app/screens/actions/programme.ts';
import { type Reading, view } from '../../app/screens/view.ts';
import { seconds } from '../../firmware-protocol/units.ts';

const programme = {
  id: 'p',
  name: 'p',
  steps: ['1/2', '1/60', '1/125'].map((mark) => ({ mark, firings: 1 })),
};
const job = { ...newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }), programme };
const reading = (ordinal: number, mark: string, kept: Reading['kept'] = 'recorded'): Reading => ({
  id: `${ordinal} ${kept}`,
  stage: 'as found',
  mark,
  ordinal,
  at: '2031-04-02T09:00:00.000Z',
  figures: { ...NO_FIGURES, effective: seconds(0.01) },
  spoilt: null,
  setAside: null,
  rest: null,
  exercised: false,
  clockPpm: 0,
  kept,
  question: null,
});

it('goes on after a mark was fired once more, whatever was only shown in between', () => {
  followProgramme();
  view.setState({ job, stage: 'as found', readings: [reading(1, '1/2')] });
  expect(view.getState().mark).toBe('1/60');
  // Its number is that of the next firing, which it doesn't take.
  const shown = [reading(1, '1/2'), reading(2, '1/60', 'not filed')];
  view.setState({ readings: shown });
  expect(placeOf(job, shown, 'as found')).toMatchObject({ step: 1, done: 1 });
  repeatLast();
  expect(view.getState().mark).toBe('1/2');
  view.setState({ readings: [...shown, reading(2, '1/2')] });
  expect(view.getState().mark).toBe('1/60');
  view.setState({ readings: [...shown, reading(2, '1/2'), reading(3, '1/60')] });
  expect(view.getState().mark).toBe('1/125');
});
