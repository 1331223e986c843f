import { useLayoutEffect } from 'preact/hooks';
import { whyNotCounted } from '../judge/counted-readings.ts';
import { lookBack, moveFiring, setAside, setExercised } from './actions/firing-steps.ts';
import { outcomes, recordOutcome, setMark, setStage } from './actions/jobs.ts';
import { neighbour } from './actions/marks.ts';
import { pressRelease, stepPracticeDial, turnGovernor } from './actions/practice.ts';
import { keepAtMark } from './actions/readings.ts';
import { undo } from './actions/undo.ts';
import type { BenchPanel } from './bench-panels.tsx';
import { type Reading, view } from './view.ts';

type Ask = (panel: BenchPanel) => void;

/** Keys of the bench. None acts while the user types or is being asked something, nor when held down. */
export function useBenchKeys(ask: Ask, asking: boolean) {
  // Before the browser's next event: a key typed into the field just opened must not act here too.
  useLayoutEffect(() => {
    if (asking) return;
    const press = (event: KeyboardEvent) => {
      const target = event.target as HTMLElement;
      if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
      if (target.closest('input, textarea, select')) return;
      // Space works the button that has the focus.
      if (event.key === ' ' && target.closest('button')) return;
      const act = actions[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (!act) return;
      event.preventDefault();
      act(ask);
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [ask, asking]);
}

const shownReading = () => {
  const { readings, shown } = view.getState();
  return readings.find((r) => r.id === shown) ?? null;
};

/** Whether a reading is in the record: one that is still provisional, or played back, can't be changed. */
export const isFiled = ({ kept }: Reading): boolean => kept === 'recorded' || kept === 'not recorded';

/** Why a reading is not counted, or null. */
export const reasonOf = (reading: Reading) =>
  whyNotCounted({ ...reading, firing: { spoilt: reading.spoilt } });

/** Moves the shown firing: where the question points to, else where the user then says. */
export function moveShown(ask: Ask): void {
  const reading = shownReading();
  if (!reading || !isFiled(reading)) return;
  if (reading.question?.nearest) moveFiring(reading.id, reading.question.nearest);
  else ask({ kind: 'move', id: reading.id, ordinal: reading.ordinal });
}

/** Sets the shown firing aside, with a reason asked for, or brings it back. */
export function setShownAside(ask: Ask): void {
  const reading = shownReading();
  if (!reading || reading.spoilt !== null || !isFiled(reading)) return;
  if (reading.setAside !== null) setAside(reading.id, null);
  else ask({ kind: 'set aside', id: reading.id, ordinal: reading.ordinal });
}

function step(places: number) {
  const { job, mark } = view.getState();
  if (job && mark !== null) setMark(neighbour(job, mark, places));
}

const onPractice = (act: () => void) => () => {
  if (view.getState().practice) act();
};

const actions: Record<string, (ask: Ask) => void> = {
  ArrowDown: () => step(1),
  ArrowUp: () => step(-1),
  ArrowLeft: () => lookBack(-1),
  ArrowRight: () => lookBack(1),
  ' ': onPractice(pressRelease),
  ',': onPractice(() => turnGovernor(-1)),
  '.': onPractice(() => turnGovernor(1)),
  '[': onPractice(() => stepPracticeDial(-1)),
  ']': onPractice(() => stepPracticeDial(1)),
  s: () => setStage(view.getState().stage === 'as found' ? 'as left' : 'as found'),
  a: setShownAside,
  m: moveShown,
  u: () => void undo(),
  b: (ask) => ask({ kind: 'budget' }),
  e: () => {
    const reading = shownReading();
    if (reading && isFiled(reading) && reasonOf(reading) === 'after rest') setExercised(reading.id, true);
  },
  k: () => {
    const reading = shownReading();
    if (reading?.question) keepAtMark(reading);
  },
  ...Object.fromEntries(
    outcomes.map(({ outcome, key }) => [
      key.toLowerCase(),
      () => {
        const { job, stage, mark } = view.getState();
        if (!job || mark === null) return;
        void recordOutcome(job.stages[stage].outcomes[mark] === outcome ? null : outcome);
      },
    ]),
  ),
};
