import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { type KeptResults, stageResult } from '../certificate/stage-results.ts';
import { tableRows } from '../certificate/table-rows.ts';
import type { Figures } from '../measure/figures.ts';
import type { Outcome } from '../record/job.ts';
import { setExercised } from './actions/firing-steps.ts';
import { outcomes, recordOutcome, setMark } from './actions/jobs.ts';
import { belongsToJob, certifiedFirings, curveOf, keepAtMark, retryWriting } from './actions/readings.ts';
import { undo } from './actions/undo.ts';
import { AcrossTheRoom } from './bench-across.tsx';
import { BenchBar } from './bench-bar.tsx';
import { isFiled, moveShown, reasonOf, setShownAside, showBenchView, useBenchKeys } from './bench-keys.ts';
import { type BenchPanel, BudgetPanel, Panel } from './bench-panels.tsx';
import { SideBySide } from './bench-side-by-side.tsx';
import { WorkPanel } from './bench-work.tsx';
import { FiringStrip } from './firing-strip.tsx';
import { type Curve, LightCurve } from './light-curve.tsx';
import { MarkLine } from './mark-line.tsx';
import { PracticePanel } from './practice-panel.tsx';
import { ReadingPanel } from './reading-panel.tsx';
import { marksSideBySide } from './side-by-side-marks.ts';
import { SpeedTable } from './speed-table.tsx';
import { type Reading, useView, view } from './view.ts';
import './bench.css';

/** Where the work is done: one figure, one curve, one table. */
export function BenchScreen() {
  const job = useView((v) => v.job);
  const mark = useView((v) => v.mark);
  const stage = useView((v) => v.stage);
  const readings = useView((v) => v.readings);
  const shown = useView((v) => v.shown);
  const practice = useView((v) => v.practice);
  const undoWords = useView((v) => v.undo);
  const benchView = useView((v) => v.benchView);
  const sideBySide = useView((v) => v.sideBySide);
  const [panel, setPanel] = useState<BenchPanel>(null);
  const close = useCallback(() => setPanel(null), []);
  // What is asked stands beside the table: across the room there is none.
  const ask = useCallback((next: BenchPanel) => {
    if (view.getState().benchView === 'across the room') showBenchView('one reading');
    setPanel(next);
  }, []);
  useBenchKeys(ask, panel !== null);

  const kept = useRef<KeptResults>(new Map());
  const results = useMemo(() => {
    if (!job) return null;
    const firings = certifiedFirings(readings, job);
    const present = stageResult(job, firings, stage, kept.current);
    return { present, rows: tableRows([present], job, 'all') };
  }, [job, readings, stage]);
  const result = results?.present.marks.find(({ speed }) => speed.label === mark) ?? null;
  const reading = readings.find((r) => r.id === shown) ?? null;
  const curve = useCurve(reading?.id ?? null, reading?.figures ?? null, reading?.clockPpm ?? 0);

  if (!job || mark === null)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>Open a job, or make one, before firing: every reading belongs to a camera.</p>
        <a class="button" href="#start">
          To the jobs
        </a>
      </main>
    );

  const here = readings.filter(
    (r) => r.mark === mark && r.stage === stage && r.kept !== 'provisional' && belongsToJob(r),
  );
  if (benchView === 'across the room')
    return <AcrossTheRoom job={job} stage={stage} mark={mark} reading={reading} readings={readings} />;
  return (
    <main class="bench" data-bench={benchView}>
      <h1 class="unseen">Bench</h1>
      <BenchBar job={job} stage={stage} readings={readings} noteWork={() => ask({ kind: 'work' })} />
      <div>
        {benchView === 'side by side' && (
          <SideBySide
            job={job}
            stage={stage}
            mark={mark}
            marks={marksSideBySide(job, sideBySide, mark)}
            readings={readings}
          />
        )}
        <ReadingPanel job={job} stage={stage} mark={mark} reading={reading} />
        {reading?.question && <Question reading={reading} ask={ask} />}
        {reading && reasonOf(reading) === 'after rest' && <AfterRest reading={reading} />}
        {benchView === 'one reading' && (
          <>
            <MarkLine result={result} showBudget={() => ask({ kind: 'budget' })} />
            <LightCurve id={reading?.id ?? null} curve={curve} />
            <FiringStrip job={job} mark={mark} readings={here} />
          </>
        )}
      </div>
      <div>
        <SpeedTable rows={results?.rows ?? []} stage={stage} mark={mark} choose={setMark} />
        {panel?.kind === 'budget' && result && <BudgetPanel result={result} close={close} />}
        {panel?.kind === 'work' && <WorkPanel job={job} readings={readings} close={close} />}
        {panel && 'id' in panel && (
          <Panel key={`${panel.kind} ${panel.id}`} panel={panel} job={job} close={close} />
        )}
        <section class="row acts" aria-label={`For the mark ${mark}`}>
          {outcomes.map(({ outcome, key }) => (
            <OutcomeButton
              key={outcome}
              outcome={outcome}
              keyName={key}
              current={job.stages[stage].outcomes[mark] ?? null}
            />
          ))}
          <button
            type="button"
            disabled={!reading || reading.spoilt !== null || !isFiled(reading)}
            onClick={() => setShownAside(ask)}
          >
            {reading?.setAside == null ? 'Set aside' : 'Bring back'} <kbd>A</kbd>
          </button>
          <button type="button" disabled={!reading || !isFiled(reading)} onClick={() => moveShown(ask)}>
            Move firing <kbd>M</kbd>
          </button>
          <button type="button" disabled={!undoWords} onClick={() => void undo()} title={undoWords ?? ''}>
            Undo <kbd>U</kbd>
          </button>
          {readings.some((r) => r.kept === 'not recorded') && (
            <button type="button" class="main" onClick={() => void retryWriting()}>
              Try to record it again
            </button>
          )}
        </section>
        {practice && !job.invented && (
          <p class="trouble" data-warning="practice">
            This is a real job and a practice board: its firings are shown, not filed. Connect your own board
            on Start, or open an invented job.
          </p>
        )}
        {practice && <PracticePanel practice={practice} />}
        <p class="keys">
          <span>
            <kbd>↑</kbd> <kbd>↓</kbd> mark
          </span>
          <span>
            <kbd>←</kbd> <kbd>→</kbd> look back
          </span>
          <span>
            <kbd>S</kbd> stage
          </span>
          <span>
            <kbd>L</kbd> say it again
          </span>
          <span>
            <kbd>1</kbd>–<kbd>9</kbd> screens
          </span>
        </p>
      </div>
    </main>
  );
}

function Question({ reading, ask }: { reading: Reading; ask: (panel: BenchPanel) => void }) {
  const nearest = reading.question?.nearest;
  return (
    <section class="question row" aria-label="Which mark?" data-question={nearest ?? 'none'}>
      <p>{reading.question?.words}</p>
      <button type="button" onClick={() => keepAtMark(reading)}>
        Yes, keep it <kbd>K</kbd>
      </button>
      <button type="button" onClick={() => moveShown(ask)}>
        {nearest ? `No, at ${nearest}` : 'No'} <kbd>M</kbd>
      </button>
    </section>
  );
}

function AfterRest({ reading }: { reading: Reading }) {
  return (
    <section class="question row" aria-label="First firing after a rest" data-question="after rest">
      <p>
        The first firing after a rest of {Math.round((reading.rest ?? 0) / 60)} min is kept apart from the
        mean. Was the shutter exercised before it?
      </p>
      <button type="button" onClick={() => setExercised(reading.id, true)}>
        Yes, count it <kbd>E</kbd>
      </button>
    </section>
  );
}

function OutcomeButton(props: { outcome: Outcome; keyName: string; current: Outcome | null }) {
  const on = props.current === props.outcome;
  return (
    <button type="button" aria-pressed={on} onClick={() => recordOutcome(on ? null : props.outcome)}>
      {props.outcome} <kbd>{props.keyName}</kbd>
    </button>
  );
}

/** The samples of a reading: at hand for the latest ones, else fetched from the record. */
function useCurve(id: string | null, figures: Figures | null, clockPpm: number): Curve | null {
  const [curve, setCurve] = useState<Curve | null>(null);
  useEffect(() => {
    let wanted = true;
    if (id === null || figures === null) setCurve(null);
    else
      void curveOf(id).then((firing) => {
        if (wanted) setCurve(firing && { firing, figures, clockPpm });
      });
    return () => {
      wanted = false;
    };
  }, [id, figures, clockPpm]);
  return curve;
}
