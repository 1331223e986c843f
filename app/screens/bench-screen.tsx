import { useEffect, useMemo, useState } from 'preact/hooks';
import { stageResult } from '../certificate/stage-results.ts';
import { tableRows } from '../certificate/table-rows.ts';
import type { Figures, Firing } from '../measure/figures.ts';
import type { Outcome } from '../record/job.ts';
import { useBenchKeys } from './bench-keys.ts';
import { FiringStrip } from './firing-strip.tsx';
import { LightCurve } from './light-curve.tsx';
import { PracticePanel } from './practice-panel.tsx';
import { ReadingPanel } from './reading-panel.tsx';
import { SpeedTable } from './speed-table.tsx';
import { useView, type View } from './view.ts';
import { outcomes, recordOutcome, setMark } from './work/jobs.ts';
import {
  askSetAside,
  certifiedFirings,
  curveOf,
  keepAtMark,
  moveLatest,
  retryWriting,
} from './work/readings.ts';
import { undo } from './work/undo.ts';

/** Where the work is done: one figure, one curve, one table. */
export function BenchScreen() {
  const job = useView((v) => v.job);
  const mark = useView((v) => v.mark);
  const stage = useView((v) => v.stage);
  const readings = useView((v) => v.readings);
  const shown = useView((v) => v.shown);
  const eye = useView((v) => v.eye);
  const live = useView((v) => v.session.phase === 'live');
  const practice = useView((v) => v.practice);
  const undoWords = useView((v) => v.undo);
  const [choosing, setChoosing] = useState(false);
  useBenchKeys({ openChooser: () => setChoosing(true), choosing });

  const rows = useMemo(() => {
    if (!job) return [];
    const firings = certifiedFirings(readings, job);
    const [found, left] = (['as found', 'as left'] as const).map((one) => stageResult(job, firings, one));
    return tableRows(found!, left!, job.referenceRule, 'all');
  }, [job, readings]);
  const reading = readings.find((r) => r.id === shown) ?? null;
  const curve = useCurve(reading?.id ?? null, reading?.figures ?? null);

  if (!job || mark === null)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>Open a job, or make one, before firing: every reading belongs to a camera.</p>
        <a class="button" href="#job">
          To the jobs
        </a>
      </main>
    );

  const here = readings.filter((r) => r.mark === mark && r.stage === stage);
  return (
    <main class="bench">
      <div>
        <ReadingPanel job={job} mark={mark} reading={reading} eye={eye} live={live} />
        {reading?.question && (
          <section class="question row" role="alertdialog" aria-label="Which mark?">
            <p>{reading.question.words}</p>
            <button type="button" onClick={() => keepAtMark(reading.id)}>
              Yes, keep it <kbd>K</kbd>
            </button>
            <button
              type="button"
              onClick={() =>
                reading.question?.nearest ? moveLatest(reading.question.nearest) : setChoosing(true)
              }
            >
              {reading.question.nearest ? `No, at ${reading.question.nearest}` : 'No'} <kbd>M</kbd>
            </button>
          </section>
        )}
        <LightCurve id={reading?.id ?? null} curve={curve} />
        <FiringStrip job={job} mark={mark} readings={here} />
      </div>
      <div>
        <SpeedTable rows={rows} stage={stage} mark={mark} choose={setMark} />
        {choosing && <MarkChooser job={job} close={() => setChoosing(false)} />}
        <section class="row acts" aria-label={`For the mark ${mark}`}>
          {outcomes.map(({ outcome, key }) => (
            <OutcomeButton
              key={outcome}
              outcome={outcome}
              keyName={key}
              current={job.stages[stage].outcomes[mark] ?? null}
            />
          ))}
          <button type="button" disabled={!reading || reading.spoilt !== null} onClick={askSetAside}>
            {reading?.setAside == null ? 'Set aside' : 'Bring back'} <kbd>A</kbd>
          </button>
          <button type="button" disabled={!reading} onClick={() => setChoosing(true)}>
            Move firing <kbd>M</kbd>
          </button>
          <button type="button" disabled={!undoWords} onClick={() => void undo()} title={undoWords ?? ''}>
            Undo <kbd>U</kbd>
          </button>
          {reading?.kept === 'not recorded' && (
            <button type="button" class="main" onClick={() => void retryWriting(reading.id)}>
              Try to record it again
            </button>
          )}
        </section>
        {practice && <PracticePanel practice={practice} />}
        <p class="keys">
          <span>
            <kbd>↑</kbd> <kbd>↓</kbd> mark
          </span>
          <span>
            <kbd>←</kbd> <kbd>→</kbd> look back
          </span>
          <span>
            <kbd>S</kbd> as found / as left
          </span>
          <span>
            <kbd>1</kbd>–<kbd>4</kbd> screens
          </span>
        </p>
      </div>
    </main>
  );
}

function OutcomeButton(props: { outcome: Outcome; keyName: string; current: Outcome | null }) {
  const on = props.current === props.outcome;
  return (
    <button type="button" aria-pressed={on} onClick={() => void recordOutcome(on ? null : props.outcome)}>
      {props.outcome} <kbd>{props.keyName}</kbd>
    </button>
  );
}

function MarkChooser({ job, close }: { job: NonNullable<View['job']>; close: () => void }) {
  return (
    <section
      class="question"
      role="dialog"
      aria-label="Move the firing"
      onKeyDown={(e) => {
        if (e.key === 'Escape') close();
        e.stopPropagation();
      }}
    >
      <p>Move this firing to:</p>
      <div class="row">
        {job.series.speeds.map((speed, i) => (
          <button
            type="button"
            key={speed.label}
            ref={(button) => {
              if (i === 0 && button && !button.parentElement?.contains(document.activeElement))
                button.focus();
            }}
            onClick={() => {
              moveLatest(speed.label);
              close();
            }}
          >
            {speed.label}
          </button>
        ))}
        <button type="button" onClick={close}>
          Leave it <kbd>Esc</kbd>
        </button>
      </div>
    </section>
  );
}

type Curve = { readonly firing: Firing; readonly figures: Figures };

/** The samples of a reading: at hand for the latest ones, else fetched from the record. */
function useCurve(id: string | null, figures: Figures | null): Curve | null {
  const [curve, setCurve] = useState<Curve | null>(null);
  useEffect(() => {
    let wanted = true;
    setCurve(null);
    if (id !== null && figures !== null)
      void curveOf(id).then((firing) => {
        if (wanted && firing) setCurve({ firing, figures });
      });
    return () => {
      wanted = false;
    };
  }, [id, figures]);
  return curve;
}
