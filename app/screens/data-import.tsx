import { useRef, useState } from 'preact/hooks';
import type { ImportReport } from '../record/job-file.ts';
import { JOB_FILE_ENDING } from './actions/data-export.ts';
import { importFile, type ReadFile, readForImport } from './actions/data-import.ts';
import { ImportPreview, ImportResult } from './data-import-report.tsx';
import { Working } from './data-working.tsx';

type State =
  | { readonly step: 'idle' }
  | { readonly step: 'reading' | 'writing'; readonly name: string; readonly part: number }
  | { readonly step: 'asking'; readonly name: string; readonly read: ReadFile }
  | { readonly step: 'done'; readonly name: string; readonly report: ImportReport }
  | { readonly step: 'refused'; readonly name: string; readonly reason: string };

/** A file is chosen or dropped, read to its end and compared; nothing is changed before the user says so. */
export function DataImport() {
  const [state, setState] = useState<State>({ step: 'idle' });
  const [over, setOver] = useState(false);
  const stop = useRef<AbortController | null>(null);
  const chooser = useRef<HTMLInputElement>(null);
  const busy = state.step === 'reading' || state.step === 'writing';

  const work = async (
    step: 'reading' | 'writing',
    name: string,
    act: (progress: (part: number) => void, signal: AbortSignal) => Promise<State>,
  ) => {
    const controller = new AbortController();
    stop.current = controller;
    const progress = (part: number) => setState({ step, name, part });
    progress(0);
    try {
      setState(await act(progress, controller.signal));
    } catch (error) {
      setState({ step: 'refused', name, reason: (error as Error).message });
    }
  };
  const read = (file: File) =>
    work('reading', file.name, async (progress, signal) => ({
      step: 'asking',
      name: file.name,
      read: await readForImport(file, progress, signal),
    }));
  const take = (name: string, found: ReadFile, differing: 'keep' | 'replace') =>
    work('writing', name, async (progress, signal) => ({
      step: 'done',
      name,
      report: await importFile(found, differing, progress, signal),
    }));

  return (
    <section
      class={`card ${over ? 'drop' : ''}`}
      aria-label="Read a file in"
      data-card="import"
      data-import={state.step}
      onDragOver={(e) => {
        if (busy || !e.dataTransfer?.types.includes('Files')) return;
        e.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(e) => {
        setOver(false);
        const file = e.dataTransfer?.files[0];
        if (busy || !file) return;
        e.preventDefault();
        void read(file);
      }}
    >
      <h2>Read a file in</h2>
      <p>
        Choose a file of jobs, or drop it here. It is read to its end and compared first; then you see what
        would come of it. Reading the same file twice changes nothing.
      </p>
      {!busy && state.step !== 'asking' && (
        <button type="button" onClick={() => chooser.current?.click()}>
          Choose a file
        </button>
      )}
      <input
        ref={chooser}
        type="file"
        hidden
        accept={JOB_FILE_ENDING}
        aria-label="File of jobs"
        onChange={(e) => {
          const file = e.currentTarget.files?.[0];
          if (file) void read(file);
          e.currentTarget.value = '';
        }}
        data-action="import"
      />
      {(state.step === 'reading' || state.step === 'writing') && (
        <Working
          words={state.step === 'reading' ? `Reading ${state.name}` : `Taking in ${state.name}`}
          part={state.part}
          stop={() => stop.current?.abort()}
        />
      )}
      {state.step === 'asking' && (
        <ImportPreview
          name={state.name}
          read={state.read}
          take={(differing) => void take(state.name, state.read, differing)}
          leave={() => setState({ step: 'idle' })}
        />
      )}
      <div role="status">
        {state.step === 'done' && <ImportResult name={state.name} report={state.report} />}
      </div>
      {state.step === 'refused' && (
        <p class="trouble" role="alert" data-refused>
          {state.name} was not read in. {state.reason}
        </p>
      )}
    </section>
  );
}
