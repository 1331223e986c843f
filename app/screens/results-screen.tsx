import { useMemo, useRef, useState } from 'preact/hooks';
import { type MarkResult, type StageResult, stageResult } from '../certificate/stage-results.ts';
import { type Job, STAGES, type StageId } from '../record/job.ts';
import { certifiedFirings } from './actions/readings.ts';
import { BudgetTable } from './budget-table.tsx';
import { ErrorChart } from './results-error-chart.tsx';
import { Findings } from './results-findings.tsx';
import { FiringTable } from './results-firing-table.tsx';
import { firingLines } from './results-firings.ts';
import { Overlay } from './results-overlay.tsx';
import { RunOrder } from './results-run-order.tsx';
import { type StagePair, StagePairPicker, usualPair } from './results-stage-pair.tsx';
import { StageSign } from './results-stage-sign.tsx';
import { StoppedDown } from './results-stopped-down.tsx';
import { useView } from './view.ts';
import { WorkEffects } from './work-effects.tsx';
import './results.css';

/** What all the readings of the job come to, judged with the functions that the certificate uses. */
export function ResultsScreen() {
  const job = useView((v) => v.job);
  const readings = useView((v) => v.readings);
  const stages = useMemo(() => {
    if (!job) return null;
    const firings = certifiedFirings(readings, job);
    const of = (stage: StageId) => stageResult(job, firings, stage);
    return {
      'as found': of('as found'),
      trials: of('trials'),
      'after rest': of('after rest'),
      'as left': of('as left'),
    };
  }, [job, readings]);
  if (!job || !stages)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>Results belong to a job. Open one, or make one, first.</p>
        <a class="button" href="#start">
          To the jobs
        </a>
      </main>
    );
  const taken = STAGES.filter((stage) => stages[stage].taken);
  if (taken.length === 0)
    return (
      <main class="sheet">
        <h1>No readings yet</h1>
        <p>Fire on the bench: the results of this job build up here.</p>
        <a class="button" href="#bench">
          To the bench
        </a>
      </main>
    );
  return <Results key={job.id} job={job} stages={stages} taken={taken} />;
}

type Stages = { readonly [stage in StageId]: StageResult };

interface ResultsProps {
  readonly job: Job;
  readonly stages: Stages;
  /** Never empty. */
  readonly taken: readonly StageId[];
}

/** Looking at results moves no dial and changes no stage of the bench: what is chosen here stays here. */
function Results({ job, stages, taken }: ResultsProps) {
  const dial = useView((v) => v.mark);
  const readings = useView((v) => v.readings);
  const benchStage = useView((v) => v.stage);
  const [picked, pick] = useState<{ readonly mark: string; readonly stage: StageId } | null>(null);
  const [pickedFiring, pickFiring] = useState<string | null>(null);
  const [chosenPair, choosePair] = useState<StagePair | null>(null);
  const details = useRef<HTMLElement>(null);
  const pair = chosenPair ?? usualPair(taken);
  const results = pair.map((one) => stages[one]);
  const { mark, stage } = picked ?? startingPoint(stages, pair, dial, benchStage);
  const result = resultOf(stages[stage], mark);
  const lines = useMemo(
    () => firingLines(job, stages[stage].firings, result.speed, result.statistics),
    [job, stages, stage, mark],
  );
  const firing = lines.find(({ id }) => id === pickedFiring)?.id ?? lines.at(-1)?.id ?? null;

  function choose(nextMark: string, nextStage: StageId = stage) {
    // A mark that was only fired in another stage shows that one.
    const touched = (one: StageId) => resultOf(stages[one], nextMark).touched;
    pick({ mark: nextMark, stage: [nextStage, ...pair, ...taken].find(touched) ?? nextStage });
  }

  return (
    <main class="results">
      {taken.length > 1 && (
        <StagePairPicker
          job={job}
          taken={taken}
          pair={pair}
          results={results}
          choose={(next) => {
            choosePair(next);
            if (!next.includes(stage)) pick({ mark, stage: next[0]! });
          }}
        />
      )}
      <ErrorChart job={job} results={results} mark={mark} stage={stage} choose={choose} />
      <Findings
        profile={job.profile}
        result={stages[stage]}
        show={(shown) => {
          pick({ mark: shown.mark, stage });
          pickFiring(shown.id);
          details.current?.scrollIntoView();
        }}
      />
      <WorkEffects job={job} readings={readings} />
      <section
        class="details"
        ref={details}
        aria-label={`${mark}, ${stage}`}
        data-details={`${mark} ${stage}`}
      >
        <Chooser stages={stages} mark={mark} stage={stage} choose={choose} />
        {lines.length === 0 ? (
          <p class="card quiet">
            No firing at {mark}, {stage}.
          </p>
        ) : (
          <div class="side-by-side">
            <div>
              <Overlay
                key={`${mark} ${stage}`}
                mark={mark}
                stage={stage}
                lines={lines}
                chosen={firing}
                choose={pickFiring}
              />
              <RunOrder
                key={mark}
                job={job}
                result={result}
                stage={stage}
                lines={lines}
                chosen={firing}
                choose={pickFiring}
              />
              <StoppedDown job={job} result={result} stage={stage} lines={lines} />
            </div>
            <div>
              <FiringTable lines={lines} chosen={firing} choose={pickFiring} />
              <section class="card" data-section="budget">
                <BudgetTable mark={mark} budget={result.budget} origins />
              </section>
            </div>
          </div>
        )}
      </section>
    </main>
  );
}

const resultOf = (stage: StageResult, mark: string): MarkResult =>
  stage.marks.find(({ speed }) => speed.label === mark) ?? stage.marks[0]!;

/** The bench's own mark and stage where there is something to see, else the first mark that was fired. */
function startingPoint(stages: Stages, pair: StagePair, dial: string | null, benchStage: StageId) {
  const stage = pair.includes(benchStage) ? benchStage : pair[0]!;
  const touched = stages[stage].marks.filter((mark) => mark.touched).map(({ speed }) => speed.label);
  return { mark: dial !== null && touched.includes(dial) ? dial : touched[0]!, stage };
}

interface ChooserProps {
  readonly stages: Stages;
  readonly mark: string;
  readonly stage: StageId;
  readonly choose: (mark: string, stage?: StageId) => void;
}

/** Stays in sight while the page is scrolled: which mark and which stage are looked at. */
function Chooser({ stages, mark, stage, choose }: ChooserProps) {
  const marks = stages['as found'].marks.filter((_, index) =>
    STAGES.some((one) => stages[one].marks[index]!.touched),
  );
  return (
    <div class="chooser">
      <h2>
        {mark} <StageSign stage={stage} /> {stage}
      </h2>
      <fieldset aria-label="Mark looked at">
        {marks.map(({ speed: { label } }) => (
          <button
            type="button"
            key={label}
            class="small"
            aria-pressed={label === mark}
            onClick={() => choose(label)}
            data-choose={label}
          >
            {label}
          </button>
        ))}
      </fieldset>
      <fieldset aria-label="Stage looked at">
        {STAGES.filter((one) => stages[one].taken).map((one) => (
          <button
            type="button"
            key={one}
            class="small"
            aria-pressed={one === stage}
            onClick={() => choose(mark, one)}
            data-choose={one}
          >
            {one}
          </button>
        ))}
      </fieldset>
    </div>
  );
}
