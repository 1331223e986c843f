import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { MarkResult } from '../certificate/stage-results.ts';
import type { Job } from '../record/job.ts';
import { moveFiring, setAside } from './actions/firing-steps.ts';
import { BudgetTable } from './budget-table.tsx';

/** What the bench asks the user beside the table; it holds the firing meant, whatever comes meanwhile. */
export type BenchPanel = null | AboutFiring | { readonly kind: 'budget' | 'work' };

interface AboutFiring {
  readonly kind: 'move' | 'set aside';
  readonly id: string;
  readonly ordinal: number;
}

interface Props {
  readonly panel: AboutFiring;
  readonly job: Job;
  readonly close: () => void;
}

export function useEscape(close: () => void): void {
  useLayoutEffect(() => {
    const leave = (event: KeyboardEvent) => {
      if (event.key === 'Escape') close();
    };
    addEventListener('keydown', leave);
    return () => removeEventListener('keydown', leave);
  }, [close]);
}

/** The uncertainty budget of the dial's mark, on demand. */
export function BudgetPanel({ result, close }: { result: MarkResult; close: () => void }) {
  const leave = useRef<HTMLButtonElement>(null);
  useEscape(close);
  useLayoutEffect(() => leave.current?.focus(), []);
  return (
    <section class="card over" role="dialog" aria-label="Uncertainty budget" data-panel="budget">
      <BudgetTable mark={result.speed.label} budget={result.budget} />
      <button type="button" ref={leave} onClick={close}>
        Close <kbd>Esc</kbd>
      </button>
    </section>
  );
}

export function Panel({ panel, job, close }: Props) {
  useEscape(close);
  return panel.kind === 'move' ? (
    <MarkChooser panel={panel} job={job} close={close} />
  ) : (
    <AsideField panel={panel} job={job} close={close} />
  );
}

function MarkChooser({ panel, job, close }: Props) {
  const leave = useRef<HTMLButtonElement>(null);
  // A pedal pressed now must not file anything: the focus begins on the way out.
  useLayoutEffect(() => leave.current?.focus(), []);
  return (
    <section class="question" role="dialog" aria-label={`Move firing ${panel.ordinal}`} data-panel="move">
      <p>Move firing {panel.ordinal} to:</p>
      <div class="row acts">
        {job.series.speeds.map(({ label }) => (
          <button
            type="button"
            key={label}
            onClick={() => {
              moveFiring(panel.id, label);
              close();
            }}
          >
            {label}
          </button>
        ))}
        <button type="button" ref={leave} onClick={close}>
          Leave it <kbd>Esc</kbd>
        </button>
      </div>
    </section>
  );
}

function AsideField({ panel, close }: Props) {
  const [reason, setReason] = useState('');
  const field = useRef<HTMLInputElement>(null);
  useLayoutEffect(() => field.current?.focus(), []);
  return (
    <form
      class="question"
      aria-label={`Set firing ${panel.ordinal} aside`}
      data-panel="set aside"
      onSubmit={(event) => {
        event.preventDefault();
        setAside(panel.id, reason.trim() || 'no reason given');
        close();
      }}
    >
      <label>
        Why is firing {panel.ordinal} set aside? It stays in the record with your reason.
        <input ref={field} value={reason} maxLength={200} onInput={(e) => setReason(e.currentTarget.value)} />
      </label>
      <div class="row acts">
        <button type="submit">
          Set aside <kbd>Enter</kbd>
        </button>
        <button type="button" onClick={close}>
          Leave it <kbd>Esc</kbd>
        </button>
      </div>
    </form>
  );
}
