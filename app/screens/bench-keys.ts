import { useEffect } from 'preact/hooks';
import { view } from './view.ts';
import { outcomes, recordOutcome, setMark, setStage } from './work/jobs.ts';
import { neighbour } from './work/marks.ts';
import { pressRelease, stepPracticeDial, turnGovernor } from './work/practice.ts';
import { askSetAside, keepAtMark, lookBack, moveLatest } from './work/readings.ts';
import { undo } from './work/undo.ts';

/** Keys of the bench. None acts while the user types, nor when held down. */
export function useBenchKeys({ openChooser, choosing }: { openChooser: () => void; choosing: boolean }) {
  useEffect(() => {
    if (choosing) return;
    const press = (event: KeyboardEvent) => {
      const target = event.target as HTMLElement;
      if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
      if (target.closest('input, textarea, select')) return;
      if ((event.key === ' ' || event.key === 'Enter') && target.closest('button, a')) return;
      const act = actions[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (!act) return;
      event.preventDefault();
      act(openChooser);
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [openChooser, choosing]);
}

function step(places: number) {
  const { job, mark } = view.getState();
  if (job && mark !== null) setMark(neighbour(job, mark, places));
}

const actions: Record<string, (openChooser: () => void) => void> = {
  ArrowDown: () => step(1),
  ArrowUp: () => step(-1),
  ArrowLeft: () => lookBack(-1),
  ArrowRight: () => lookBack(1),
  ' ': () => view.getState().practice && pressRelease(),
  ',': () => view.getState().practice && turnGovernor(-1),
  '[': () => view.getState().practice && stepPracticeDial(-1),
  ']': () => view.getState().practice && stepPracticeDial(1),
  '.': () => view.getState().practice && turnGovernor(1),
  s: () => setStage(view.getState().stage === 'as found' ? 'as left' : 'as found'),
  a: askSetAside,
  u: () => void undo(),
  k: () => {
    const { shown } = view.getState();
    if (shown !== null) keepAtMark(shown);
  },
  m: (openChooser) => {
    const { readings, shown } = view.getState();
    const reading = readings.find((r) => r.id === shown);
    if (reading?.question?.nearest) moveLatest(reading.question.nearest);
    else if (reading) openChooser();
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
