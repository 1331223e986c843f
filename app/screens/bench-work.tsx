import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { WORK_KINDS, type WorkKind, type WorkStep } from '../judge/work-step.ts';
import { workStepWords } from '../judge/work-step-words.ts';
import type { Job } from '../record/job.ts';
import { addWorkStep, removeWorkStep } from './actions/work-steps.ts';
import { useEscape } from './bench-panels.tsx';
import { numberIn } from './mark-fields.tsx';
import type { Reading } from './view.ts';
import { WorkEffects } from './work-effects.tsx';

const kindWords: Record<WorkKind, string> = {
  governor: 'governor moved',
  cleaned: 'cleaned',
  lubricated: 'lubricated',
  spring: 'spring',
  blades: 'blades',
  other: 'something else',
};

/** What was done between the last firing and the next, and what earlier work did. */
interface Props {
  readonly job: Job;
  readonly readings: readonly Reading[];
  readonly close: () => void;
}

export function WorkPanel({ job, readings, close }: Props) {
  const [kind, setKind] = useState<WorkKind>('governor');
  const [direction, setDirection] = useState<'in' | 'out'>('in');
  const [amount, setAmount] = useState('');
  const [unit, setUnit] = useState(() => lastUnit(job));
  const [note, setNote] = useState('');
  const [problem, setProblem] = useState('');
  const first = useRef<HTMLSelectElement>(null);
  useEscape(close);
  useLayoutEffect(() => first.current?.focus(), []);

  function add(event: Event): void {
    event.preventDefault();
    const governor = kind === 'governor';
    const value = numberIn(amount);
    if (governor && amount.trim() !== '' && !(value > 0)) {
      setProblem('How far must be a number above zero, or empty if it is not known.');
      return;
    }
    addWorkStep({
      kind,
      direction: governor ? direction : null,
      amount: governor && value > 0 ? { value, unit: unit.trim() || 'turns' } : null,
      note: note.trim(),
    });
    close();
  }

  return (
    <form class="card over work-note" aria-label="Work note" data-panel="work" onSubmit={add}>
      <h2>What was changed since the last firing?</h2>
      <div class="fields">
        <label>
          what
          <select
            ref={first}
            value={kind}
            onChange={(e) => setKind(e.currentTarget.value as WorkKind)}
            data-field="work-kind"
          >
            {WORK_KINDS.map((one) => (
              <option key={one} value={one}>
                {kindWords[one]}
              </option>
            ))}
          </select>
        </label>
        {kind === 'governor' && (
          <>
            <label>
              which way
              <select
                value={direction}
                onChange={(e) => setDirection(e.currentTarget.value as 'in' | 'out')}
                data-field="work-direction"
              >
                <option value="in">in: slower</option>
                <option value="out">out: faster</option>
              </select>
            </label>
            <label>
              how far, if known
              <input
                value={amount}
                inputMode="decimal"
                onInput={(e) => setAmount(e.currentTarget.value)}
                data-field="work-amount"
              />
            </label>
            <label>
              counted in
              <input
                value={unit}
                maxLength={30}
                onInput={(e) => setUnit(e.currentTarget.value)}
                data-field="work-unit"
              />
            </label>
          </>
        )}
        <label class="wide">
          note
          <input
            value={note}
            maxLength={200}
            onInput={(e) => setNote(e.currentTarget.value)}
            data-field="work-note"
          />
        </label>
      </div>
      {problem && <p class="trouble">{problem}</p>}
      <div class="row acts">
        <button type="submit" class="main">
          Note it <kbd>Enter</kbd>
        </button>
        <button type="button" onClick={close}>
          Close <kbd>Esc</kbd>
        </button>
      </div>
      {job.steps.length > 0 && (
        <ol class="work-steps" aria-label="Noted so far">
          {job.steps.map((step) => (
            <li key={step.id}>
              <span>
                {whenWords(step)}: {workStepWords(step)}
              </span>
              <button type="button" class="small" onClick={() => removeWorkStep(step.id)}>
                Remove
              </button>
            </li>
          ))}
        </ol>
      )}
      <WorkEffects job={job} readings={readings} />
    </form>
  );
}

const whenWords = ({ afterFiring }: WorkStep) =>
  afterFiring === 0 ? 'before the first firing' : `after firing ${afterFiring}`;

/** Effects can only be set against each other in one unit: the last one is offered again. */
const lastUnit = (job: Job): string =>
  job.steps.findLast(({ amount }) => amount !== null)?.amount?.unit ?? 'turns';
