import { lightCheckSentences, lightProblemSentence } from '../measure/light-check-sentences.ts';
import { referenceLightSentence } from '../measure/reference-light-sentences.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import type { Check } from '../record/job.ts';
import { beginLightCheck, beginReferenceLight } from './actions/begin-check.ts';
import { abandonCheck } from './actions/checks.ts';
import { finishLightCheck, OPEN_SECONDS } from './actions/light-check.ts';
import { BeginButton, MadeAt } from './checks-parts.tsx';
import { Glyph } from './glyphs.tsx';
import { type Checking, useView } from './view.ts';

type LightStep = Extract<Checking, { kind: 'light' }>['step'];

const stepWords: Record<LightStep, string> = {
  dark: 'Keep the shutter closed, as it stands for the readings …',
  'wait for light': 'Now hold the shutter open, iris wide open: on B or T, or by its lever.',
  open: `Keep it open. A minute (${OPEN_SECONDS} s) shows a drift; level and flicker are known sooner.`,
};

interface LightProps {
  readonly live: boolean;
  readonly last: Extract<Check, { kind: 'light' }> | null;
}

/** Dark, noise, open level, headroom, flicker, drift; and what to change. */
export function LightCard({ live, last }: LightProps) {
  const checking = useView((v) => v.checking);
  const mine = checking?.kind === 'light' ? checking : null;
  return (
    <section class="card" aria-label="Light check" data-card="light">
      <h2>Light check</h2>
      {mine ? (
        <>
          <p class="step" role="status" data-step={mine.step}>
            {stepWords[mine.step]}
          </p>
          {mine.step !== 'wait for light' && (
            <progress max={1} value={mine.part} aria-label={stepWords[mine.step]} />
          )}
          <div class="row acts">
            {mine.step === 'open' && (
              <button type="button" class="main" onClick={finishLightCheck} data-action="finish-light-check">
                Enough: read it
              </button>
            )}
            <button type="button" onClick={() => abandonCheck()}>
              Leave it
            </button>
          </div>
        </>
      ) : (
        <BeginButton live={live} begin={beginLightCheck} action="light-check">
          Check the light
        </BeginButton>
      )}
      {!mine && last && <LightOutcome check={last} />}
      {!mine && !last && (
        <p class="quiet">
          Not made for this job yet. Two seconds of dark, then the open shutter for up to a minute.
        </p>
      )}
    </section>
  );
}

function LightOutcome({ check: { at, stage, result } }: { check: NonNullable<LightProps['last']> }) {
  const passed = result.problems.length === 0;
  return (
    <div data-outcome={passed ? 'passed' : result.problems.join(' ')}>
      <p class={passed ? 'within' : 'beyond'}>
        <Glyph sign={passed ? 'within' : 'unwell'} /> {passed ? 'passed' : 'something to change'}{' '}
        <MadeAt stage={stage} at={at} />
      </p>
      {result.problems.map((problem) => (
        <p key={problem} class="trouble">
          {lightProblemSentence(problem, result)}
        </p>
      ))}
      <ul class="plain">
        {lightCheckSentences(result).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </div>
  );
}

interface PulseProps {
  readonly live: boolean;
  readonly last: Extract<Check, { kind: 'reference light' }> | null;
}

/** Pulses of exactly known length from the board's own LED: sensor, amplifier and analysis, not the clock. */
export function ReferenceLightCard({ live, last }: PulseProps) {
  const checking = useView((v) => v.checking);
  const mine = checking?.kind === 'reference light' ? checking : null;
  return (
    <section class="card" aria-label="Reference light" data-card="reference-light">
      <h2>Reference light</h2>
      {mine ? (
        <>
          <p class="step" role="status">
            Pulses of 0.5 ms to 500 ms … keep the shutter closed and other light away.
          </p>
          <progress max={1} value={mine.part} aria-label="Reference pulses" />
          <div class="row acts">
            <button type="button" onClick={() => abandonCheck()}>
              Leave it
            </button>
          </div>
        </>
      ) : (
        <>
          <p class="quiet">
            The LED on pin D9 shines on the sensor. This tests sensor, amplifier and analysis, not the clock.
          </p>
          <BeginButton live={live} begin={beginReferenceLight} action="reference-light">
            Send reference pulses
          </BeginButton>
        </>
      )}
      {!mine && last && (
        <div data-outcome={last.result.passed ? 'passed' : 'failed'}>
          <p class={last.result.passed ? 'within' : 'beyond'}>
            <Glyph sign={last.result.passed ? 'within' : 'unwell'} /> {referenceLightSentence(last.result)}{' '}
            <MadeAt stage={last.stage} at={last.at} />
          </p>
          <table data-table="pulses">
            <thead>
              <tr>
                <th scope="col">exact</th>
                <th scope="col">pulses</th>
                <th scope="col">measured − exact</th>
                <th scope="col">SD of one</th>
                <th scope="col" class="left" />
              </tr>
            </thead>
            <tbody>
              {last.result.pulses.map((pulse) => (
                <tr key={pulse.length}>
                  <td>{timeText(pulse.length)}</td>
                  <td>{pulse.count}</td>
                  <td>{microseconds(pulse.error)}</td>
                  <td>{microseconds(pulse.sd).replace('+', '')}</td>
                  <td class={`left ${pulse.within ? 'within' : 'beyond'}`}>
                    {pulse.within ? 'within' : 'beyond the limit'}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

const microseconds = (s: number): string => `${s < 0 ? '−' : '+'}${(1e6 * Math.abs(s)).toFixed(1)} µs`;
