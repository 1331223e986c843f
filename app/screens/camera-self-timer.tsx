import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { SelfTimerRun } from '../judge/camera-checks.ts';
import { selfTimerResult } from '../judge/self-timer.ts';
import {
  SELF_TIMER_CAUTIONS,
  selfTimerRemarkSentence,
  selfTimerSentence,
} from '../judge/self-timer-sentences.ts';
import type { Job } from '../record/job.ts';
import { beginSelfTimer } from './actions/begin-check.ts';
import { deleteRun, setRunAside, startSelfTimerByKey } from './actions/camera-checks.ts';
import { abandonCheck } from './actions/checks.ts';
import { waitingWords } from './reading-panel.tsx';
import { type Checking, useView, view } from './view.ts';

type Timing = Extract<Checking, { kind: 'self-timer' }>;

/** From the release to the first light, run after run, with seconds that can be read across the room. */
export function SelfTimerSection({ job, live }: { job: Job; live: boolean }) {
  const checking = useView((v) => v.checking);
  const bound = useView((v) => v.preferences.keys['start the self-timer']);
  const mine = checking?.kind === 'self-timer' ? checking : null;
  // Firings at another section of this screen are to be filed again.
  useEffect(
    () => () => {
      if (view.getState().checking?.kind === 'self-timer') abandonCheck();
    },
    [],
  );
  return (
    <div class="columns broad">
      <section
        class="card"
        aria-label="Self-timer"
        data-section="self-timer"
        data-step={mine?.step ?? 'none'}
      >
        {mine ? (
          <Running checking={mine} />
        ) : (
          <>
            <p>
              With a switch at the release the board itself times the run. With a key, pressed in the moment
              of the release, a run is good to ±0.1 s.
            </p>
            <div class="row acts">
              <button
                type="button"
                class="main"
                disabled={!live || checking !== null}
                onClick={beginSelfTimer}
                data-action="self-timer"
              >
                Wait for the release switch
              </button>
              <button
                type="button"
                disabled={!live || checking !== null}
                onClick={startSelfTimerByKey}
                data-action="self-timer-key"
              >
                Released now (±0.1 s)
              </button>
            </div>
            {!bound && <p class="quiet">A key or a pedal for “released now” can be bound in the settings.</p>}
          </>
        )}
        <div class="caution">
          {SELF_TIMER_CAUTIONS.map((words) => (
            <p key={words}>{words}</p>
          ))}
        </div>
      </section>
      <Runs job={job} />
    </div>
  );
}

function Running({ checking }: { checking: Timing }) {
  const eye = useView((v) => v.eye);
  const live = useView((v) => v.session.phase === 'live');
  const seconds = useSeconds(checking);
  const waiting = checking.step === 'wait for release';
  return (
    <>
      <p class="running" data-figure="self-timer">
        {seconds.toFixed(1)} <small>s</small>
      </p>
      <p class="step" role="status">
        {stepWords[checking.step]}
      </p>
      {waiting && eye.phase === 'not armed' && <p class="trouble">{waitingWords(eye, live)}</p>}
      <div class="row acts">
        {waiting && (
          <button type="button" onClick={startSelfTimerByKey} data-action="self-timer-key">
            Released now (±0.1 s)
          </button>
        )}
        <button type="button" onClick={() => abandonCheck()} data-action="end-self-timer">
          {waiting ? 'Done' : 'Leave this run'}
        </button>
      </div>
    </>
  );
}

const stepWords: Record<Timing['step'], string> = {
  'wait for release': 'Set the self-timer and release. One run may follow the other.',
  running: 'Running … until the first light.',
  'light came': 'Light. Read when the shutter has closed …',
};

const REFRESH_MS = 100;

/** Since the release; it stands still once the light has come. */
function useSeconds({ step, since }: Timing): number {
  const [seconds, setSeconds] = useState(0);
  useEffect(() => {
    if (since === null) return setSeconds(0);
    const look = () => setSeconds((performance.now() - since) / 1000);
    look();
    if (step !== 'running') return;
    const timer = setInterval(look, REFRESH_MS);
    return () => clearInterval(timer);
  }, [step, since]);
  return seconds;
}

function Runs({ job: { selfTimer: runs } }: { job: Job }) {
  const [asked, ask] = useState<string | null>(null);
  const result = selfTimerResult(runs);
  if (runs.length === 0)
    return (
      <section class="card" aria-label="Runs of the self-timer">
        <p class="quiet">No run yet. Three show whether it repeats.</p>
      </section>
    );
  return (
    <section class="card" aria-label="Runs of the self-timer">
      <p class="verdict" data-figure="self-timer-mean">
        {result.mean === null ? 'No run counts' : `${result.mean.toFixed(result.byKey > 0 ? 1 : 2)} s`}
      </p>
      <p data-part="self-timer-mean">{selfTimerSentence(result)}</p>
      <ul class="plain" data-part="self-timer-remarks">
        {result.remarks.map((remark) => (
          <li key={remark} data-remark={remark}>
            {selfTimerRemarkSentence(remark, result)}
          </li>
        ))}
      </ul>
      <div class="scrolls">
        <table data-table="self-timer">
          <thead>
            <tr>
              <th scope="col">run</th>
              <th scope="col">time</th>
              <th scope="col" class="left">
                begun by
              </th>
              <th scope="col" class="left">
                remark
              </th>
              <th scope="col">
                <span class="unseen">change</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {runs.map((run, index) => (
              <Run key={run.id} run={run} place={index + 1} ask={() => ask(run.id)} />
            ))}
          </tbody>
        </table>
      </div>
      {runs.map(
        (run, index) =>
          run.id === asked && <AsideForm key={run.id} run={run} place={index + 1} close={() => ask(null)} />,
      )}
    </section>
  );
}

function Run({ run, place, ask }: { run: SelfTimerRun; place: number; ask: () => void }) {
  const { id, seconds, startedBy, setAside } = run;
  return (
    <tr data-run={place} data-started-by={startedBy} data-set-aside={setAside ?? ''}>
      <td>{place}</td>
      <td data-cell="seconds">
        {startedBy === 'key' ? `${seconds.toFixed(1)} s` : `${seconds.toFixed(2)} s`}
      </td>
      <td class="left">{startedBy === 'key' ? 'key, ±0.1 s' : 'release switch'}</td>
      <td class="left words">{setAside === null ? '' : `set aside: ${setAside}`}</td>
      <td>
        <button
          type="button"
          class="small"
          aria-label={setAside === null ? `Set aside: run ${place}` : `Bring back: run ${place}`}
          onClick={setAside === null ? ask : () => setRunAside(id, place, null)}
        >
          {setAside === null ? 'Set aside' : 'Bring back'}
        </button>{' '}
        <button
          type="button"
          class="small"
          aria-label={`Delete run ${place}`}
          onClick={() => deleteRun(id, place)}
        >
          Delete
        </button>
      </td>
    </tr>
  );
}

function AsideForm({ run, place, close }: { run: SelfTimerRun; place: number; close: () => void }) {
  const [reason, setReason] = useState('');
  const field = useRef<HTMLInputElement>(null);
  useLayoutEffect(() => field.current?.focus(), []);
  return (
    <form
      class="question"
      aria-label={`Set run ${place} aside`}
      data-panel="set run aside"
      onSubmit={(event) => {
        event.preventDefault();
        setRunAside(run.id, place, reason.trim() || 'no reason given');
        close();
      }}
      onKeyDown={(event) => event.key === 'Escape' && close()}
    >
      <label>
        Why is run {place} set aside? It stays in the record with your reason.
        <input
          ref={field}
          value={reason}
          maxLength={200}
          onInput={(e) => setReason(e.currentTarget.value)}
          data-field="aside-reason"
        />
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
