import { useEffect, useState } from 'preact/hooks';
import { Glyph } from './glyphs.tsx';
import {
  FIRINGS,
  FIRST_STEPS,
  type FirstStep,
  type FirstStepsState,
  loadFirstSteps,
  saveFirstSteps,
  stepsDone,
} from './help-first-steps-done.ts';
import { type Screen, useView } from './view.ts';

/** What each step asks for; `elsewhere` where another screen than its own is looked at. */
const STEPS: Readonly<
  Record<
    FirstStep,
    { readonly title: string; readonly words: string; readonly screen: Screen; readonly elsewhere: string }
  >
> = {
  open: {
    title: 'Open the practice bench',
    words: 'An invented shutter before a real instrument: nothing can go wrong.',
    screen: 'start',
    elsewhere: 'Go to Start and open the practice bench.',
  },
  fire: {
    title: `Fire ${FIRINGS} times`,
    words: 'Press the space bar, or “Fire”, each time the bench is ready.',
    screen: 'bench',
    elsewhere: `Go to the Bench and fire ${FIRINGS} times.`,
  },
  'next speed': {
    title: `The next speed, ${FIRINGS} times`,
    words: `Turn the shutter’s dial to the next mark with ], tell the page with ↓, and fire ${FIRINGS} times.`,
    screen: 'bench',
    elsewhere: 'Go to the Bench and fire at another speed.',
  },
  certificate: {
    title: 'Save the certificate',
    words: 'On Papers: “Save the certificate (PDF)”.',
    screen: 'certificate',
    elsewhere: 'Go to Papers and save the certificate as a PDF.',
  },
};

/** Steps done so far, kept as they are done; and how to hide the path, or bring it back. */
function useFirstSteps(): FirstStepsState & { readonly hide: () => void } {
  const session = useView((v) => v.session);
  const source = useView((v) => v.source);
  const job = useView((v) => v.job);
  const readings = useView((v) => v.readings);
  const [state, setState] = useState(loadFirstSteps);
  const put = (next: FirstStepsState) => {
    saveFirstSteps(next);
    setState(next);
  };
  const done = state.dismissed ? state.done : stepsDone({ session, source, job, readings }, state.done);
  useEffect(() => {
    if (done.length !== state.done.length) put({ ...state, done });
  }, [done.length]);
  return { ...state, done, hide: () => put({ ...state, dismissed: true }) };
}

const nextOf = (done: readonly FirstStep[]) => FIRST_STEPS.find((step) => !done.includes(step)) ?? null;

/** The few steps from here to a certificate, each ticked as it is done. */
export function FirstStepsCard() {
  const { done, dismissed, hide } = useFirstSteps();
  if (dismissed) return null;
  const next = nextOf(done);
  return (
    <section class="card first-steps" aria-label="First steps" data-first-steps={done.length}>
      <div class="row heading">
        <h2>{next ? 'First steps: from here to a certificate' : 'First steps: done'}</h2>
        <button type="button" class="small" onClick={hide} data-action="hide-first-steps">
          Hide
        </button>
      </div>
      <ol>
        {FIRST_STEPS.map((step) => {
          const ticked = done.includes(step);
          const { title, words } = STEPS[step];
          return (
            <li
              key={step}
              class={ticked ? 'done' : ''}
              aria-current={step === next ? 'step' : undefined}
              data-step={step}
              data-ticked={ticked}
            >
              <strong>
                {ticked && <Glyph sign="within" />} {title}
                {ticked && <span class="unseen">, done</span>}
              </strong>
              <span class="quiet">{words}</span>
            </li>
          );
        })}
      </ol>
      {!next && (
        <p>
          That is all it takes. With a board of your own, make a new job; <kbd>?</kbd> explains each screen.
        </p>
      )}
    </section>
  );
}

/** The step that comes next, on one line over the other screens, while the path is under way. */
export function FirstStepsLine({ screen }: { screen: Screen }) {
  const practice = useView((v) => v.source === 'practice');
  const { done, dismissed, hide } = useFirstSteps();
  const next = nextOf(done);
  if (dismissed || !next || !practice) return null;
  const step = STEPS[next];
  return (
    <aside class="first-steps-line" aria-label="First steps" data-next-step={next}>
      <span>
        First steps, {done.length + 1} of {FIRST_STEPS.length}: <strong>{step.title}.</strong>{' '}
        {screen === step.screen ? step.words : step.elsewhere}
      </span>
      <button type="button" class="small" onClick={hide}>
        Hide
      </button>
    </aside>
  );
}
