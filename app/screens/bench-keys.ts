import { useLayoutEffect } from 'preact/hooks';
import { whyNotCounted } from '../judge/counted-readings.ts';
import { STAGES } from '../record/job.ts';
import type { BoundAction } from '../record/preferences.ts';
import { sayShown } from './actions/announce.ts';
import { startSelfTimerByKey } from './actions/camera-checks.ts';
import { lookBack, moveFiring, setAside, setExercised } from './actions/firing-steps.ts';
import { outcomes, recordOutcome, setMark, setStage } from './actions/jobs.ts';
import { neighbour } from './actions/marks.ts';
import { pressRelease, stepPracticeDial, turnGovernor } from './actions/practice.ts';
import { repeatLast, skipStep } from './actions/programme.ts';
import { keepAtMark } from './actions/readings.ts';
import { undo } from './actions/undo.ts';
import type { BenchPanel } from './bench-panels.tsx';
import { marksSideBySide } from './side-by-side-marks.ts';
import { type BenchView, type Reading, view } from './view.ts';

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
      const act =
        boundTo(event.code) ?? actions[event.key.length === 1 ? event.key.toLowerCase() : event.key];
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

/** To the next mark of the ring; with marks side by side, to the next one of those. */
function step(places: number) {
  const { job, mark, benchView, sideBySide } = view.getState();
  if (!job || mark === null) return;
  if (benchView !== 'side by side') {
    setMark(neighbour(job, mark, places));
    return;
  }
  const marks = marksSideBySide(job, sideBySide, mark);
  const at = marks.indexOf(mark);
  setMark(marks[Math.min(marks.length - 1, Math.max(0, at + places))]!);
}

export const showBenchView = (benchView: BenchView): void => {
  const { job, mark, sideBySide } = view.getState();
  // The marks stay as they are while the dial goes from one to the other.
  const marks = job && mark !== null ? marksSideBySide(job, sideBySide, mark) : sideBySide;
  view.setState({ benchView, sideBySide: benchView === 'side by side' ? marks : sideBySide });
};

const NEXT_VIEW: Readonly<Record<BenchView, BenchView>> = {
  'one reading': 'side by side',
  'side by side': 'across the room',
  'across the room': 'one reading',
};

function nextStage() {
  const at = STAGES.indexOf(view.getState().stage);
  setStage(STAGES[(at + 1) % STAGES.length]!);
}

/** The latest firing, whichever one is looked at: a pedal is worked blind. */
function latestFiled(): Reading | null {
  const last = view.getState().readings.at(-1);
  return last && isFiled(last) ? last : null;
}

/** What a key or a pedal can be bound to; nothing of it asks for anything, since the hands are full. */
const bound: Readonly<Record<BoundAction, (ask: Ask) => void>> = {
  'next mark': () => step(1),
  'previous mark': () => step(-1),
  'repeat the last mark': repeatLast,
  'skip this step': skipStep,
  'move the last firing': (ask) => {
    const last = latestFiled();
    if (!last) return;
    view.setState({ shown: last.id });
    moveShown(ask);
  },
  'set the last firing aside': () => {
    const last = latestFiled();
    if (last && last.spoilt === null) setAside(last.id, last.setAside === null ? 'set aside by key' : null);
  },
  'say the last reading': sayShown,
  undo: () => void undo(),
  'start the self-timer': startSelfTimerByKey,
};

function boundTo(code: string): ((ask: Ask) => void) | null {
  const { keys } = view.getState().preferences;
  const action = (Object.keys(keys) as BoundAction[]).find((one) => keys[one] === code);
  return action === undefined ? null : bound[action];
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
  s: nextStage,
  r: repeatLast,
  n: skipStep,
  v: () => showBenchView(NEXT_VIEW[view.getState().benchView]),
  Escape: () => view.getState().benchView === 'across the room' && showBenchView('one reading'),
  w: (ask) => ask({ kind: 'work' }),
  l: sayShown,
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
        recordOutcome(job.stages[stage].outcomes[mark] === outcome ? null : outcome);
      },
    ]),
  ),
};
