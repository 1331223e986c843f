import { useState } from 'preact/hooks';
import { irisCheckSentence } from '../judge/iris-check-sentences.ts';
import type { Check, Job } from '../record/job.ts';
import { beginIrisCheck } from './actions/begin-check.ts';
import { abandonCheck } from './actions/checks.ts';
import { IRIS_FIRINGS, irisNext, LEAST_IRIS_FIRINGS } from './actions/iris-check.ts';
import { MadeAt } from './checks-parts.tsx';
import { Glyph } from './glyphs.tsx';
import { useView } from './view.ts';

interface Props {
  readonly live: boolean;
  readonly job: Job;
  readonly last: Extract<Check, { kind: 'iris' }> | null;
}

/** Wide open against one stop down at a fast mark, where the camera has an iris. */
export function IrisCard({ live, job, last }: Props) {
  const checking = useView((v) => v.checking);
  const timed = job.series.speeds.filter(({ marked }) => marked !== null);
  const [mark, setMark] = useState(timed.at(-1)?.label ?? '');
  const mine = checking?.kind === 'iris' ? checking : null;
  const fired = mine && (mine.step === 'wide open' ? mine.firings.open : mine.firings.stopped);
  return (
    <section class="card" aria-label="Iris check" data-card="iris">
      <h2>Iris check</h2>
      {mine ? (
        <>
          <p class="step" role="status" data-step={mine.step}>
            Iris {mine.step}, dial at {mine.mark}: fire {IRIS_FIRINGS} times. {fired} of {IRIS_FIRINGS} taken.
          </p>
          {mine.trouble && <p class="trouble">{mine.trouble}</p>}
          <div class="row acts">
            <button
              type="button"
              class="main"
              disabled={(fired ?? 0) < LEAST_IRIS_FIRINGS}
              onClick={irisNext}
              data-action="iris-next"
            >
              {mine.step === 'wide open' ? 'Iris is one stop down now' : 'Read it'}
            </button>
            <button type="button" onClick={() => abandonCheck()}>
              Leave it
            </button>
          </div>
        </>
      ) : (
        <>
          <p class="quiet">
            At a fast mark the effective time gets longer as the iris closes, by an amount that the light
            curve tells beforehand. If it doesn’t, light or sensor use only the middle of the opening. These
            firings are not filed.
          </p>
          <div class="row">
            <label class="row">
              mark
              <select value={mark} onChange={(e) => setMark(e.currentTarget.value)} data-field="iris-mark">
                {timed.map(({ label }) => (
                  <option key={label}>{label}</option>
                ))}
              </select>
            </label>
            <button
              type="button"
              class="main"
              disabled={!live || checking !== null || mark === ''}
              onClick={() => beginIrisCheck(mark)}
              data-action="iris-check"
            >
              Compare wide open with one stop down
            </button>
          </div>
        </>
      )}
      {!mine && last && (
        <p
          class={last.result.outcome === 'whole opening used' ? 'within' : 'beyond'}
          data-outcome={last.result.outcome}
        >
          <Glyph sign={last.result.outcome === 'whole opening used' ? 'within' : 'asks'} />{' '}
          {irisCheckSentence(last.result)} <MadeAt stage={last.stage} at={last.at} />
        </p>
      )}
    </section>
  );
}
