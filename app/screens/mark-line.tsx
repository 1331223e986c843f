import { useEffect, useState } from 'preact/hooks';
import type { MarkResult } from '../certificate/stage-results.ts';
import { errorText, expandedText, sizeText } from '../certificate/stops-text.ts';
import { conformityWords, spreadWords } from '../judge/verdict-words.ts';
import type { ClockCorrection, ReferenceEnd } from '../measure/figures.ts';
import { dropReference } from './actions/held-reference.ts';
import { Term } from './help-term.tsx';
import { BeforeTheWork, LeverAtM } from './mark-line-warnings.tsx';
import { type ReferenceState, useView } from './view.ts';

interface Props {
  readonly result: MarkResult | null;
  readonly showBudget: () => void;
}

/** What the firings of the dial's mark come to, and what every reading rests on: open level and clock. */
export function MarkLine({ result, showBudget }: Props) {
  const reference = useView((v) => v.reference);
  const clock = useView((v) => v.clock);
  return (
    <section class="card mark-line" aria-label="What the readings are worth">
      <p data-line="mark">
        {result && result.statistics.meanError !== null ? (
          <>
            <strong>{result.speed.label}</strong> <Worth result={result} />
            <BeforeTheWork mark={result.speed.label} />{' '}
            <button type="button" class="small" onClick={showBudget} data-action="budget">
              Budget <kbd>B</kbd>
            </button>
          </>
        ) : (
          <span class="quiet">{result ? emptyWords(result) : ''}</span>
        )}
      </p>
      <p class="quiet rests-on" data-line="rests-on">
        <Reference reference={reference} /> · {clockWords(clock).replace('board’s ', '')}
        <LeverAtM />
      </p>
    </section>
  );
}

const emptyWords = ({ speed, statistics: { n } }: MarkResult): string =>
  n === 0
    ? `No counted firing at ${speed.label} yet.`
    : `${speed.label} has no time to compare with; firings counted: ${n}.`;

function Worth({ result: { statistics, budget, judgement } }: { result: MarkResult }) {
  const { n, meanError, sd, suspect } = statistics;
  return (
    <span>
      <Term id="mean">mean</Term> of {n}: {errorText(meanError!, budget)}
      {budget && (
        <>
          {' '}
          <Term id="uncertainty">±</Term> {expandedText(budget.expanded)}
        </>
      )}{' '}
      EV
      {sd !== null && (
        <>
          {' · '}
          <Term id="sd">SD</Term> {sizeText(sd)}
        </>
      )}
      {judgement.spread !== 'no limit' && ` · ${spreadWords(judgement.spread)}`}
      {judgement.nextShot !== null && (
        <>
          {' · '}
          <Term id="next-shot">next-shot odds</Term> {conformityWords(judgement.nextShot)}
        </>
      )}
      {suspect !== null && ` · the ${suspect} firing lies suspiciously far out`}
    </span>
  );
}

function Reference({ reference: { held, since, ended } }: { reference: ReferenceState }) {
  const now = useMinute();
  if (held === null)
    return (
      <span data-reference="none">
        no reference level{ended === null ? '' : ` (${endWords[ended]})`}: fire a slow mark, or make a light
        check
      </span>
    );
  const minutes = since === null ? 0 : Math.floor((now - since) / 60_000);
  const share = (100 * held.uncertainty) / held.height;
  return (
    <span data-reference={held.origin}>
      reference level {held.height.toFixed(1)} ± {share.toFixed(2)} %, {held.origin},{' '}
      {minutes < 1 ? 'just taken' : `${minutes} min old`}{' '}
      <button type="button" class="small" onClick={() => dropReference('dropped by the user')}>
        Drop it
      </button>
    </span>
  );
}

const endWords: Record<ReferenceEnd, string> = {
  'light changed': 'the light changed',
  'too old': 'the last one is over half an hour old',
  'board restarted': 'the board was restarted',
  'set-up changed': 'the set-up changed',
  'dropped by the user': 'dropped by you',
};

/** The board's clock, in a few words. */
export const clockWords = (clock: ClockCorrection | null): string =>
  clock === null
    ? 'board’s clock not compared yet'
    : `board’s clock ${clock.ppm < 0 ? '−' : '+'}${Math.abs(clock.ppm).toFixed(0)} ± ${(2 * clock.uncertainty).toFixed(0)} ppm, corrected`;

/** The time, renewed now and then: an age on show must not stand still. */
function useMinute(): number {
  const [now, setNow] = useState(Date.now);
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), 15_000);
    return () => clearInterval(timer);
  }, []);
  return now;
}
