import { signedStops } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import { placeOf } from './actions/programme.ts';
import { showBenchView } from './bench-keys.ts';
import { Glyph } from './glyphs.tsx';
import { waitingWords } from './reading-panel.tsx';
import { readingWords } from './reading-words.ts';
import { type Reading, useView } from './view.ts';

interface Props {
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly reading: Reading | null;
  readonly readings: readonly Reading[];
}

/** For eyes across the room: one reading, one verdict, and what to set next. */
export function AcrossTheRoom({ job, stage, mark, reading, readings }: Props) {
  const eye = useView((v) => v.eye);
  const live = useView((v) => v.session.phase === 'live');
  const said = reading && readingWords(job, reading);
  const place = placeOf(job, readings, stage);
  const [figure, unit] = said?.time == null ? ['—', ''] : timeText(said.time).split(' ');
  return (
    <main
      class="far"
      data-reading={reading?.id ?? ''}
      data-kept={reading?.kept ?? ''}
      data-eye={eye.phase}
      data-far
    >
      <h1 class="unseen">The last reading, for across the room</h1>
      <p class="far-mark">
        {reading ? reading.mark : mark} <small>{reading ? `firing ${reading.ordinal}` : stage}</small>
        <small class="far-eye">{reading && live ? waitingWords(eye, live) : ''}</small>
      </p>
      <div class={`far-time ${said?.time == null ? 'quiet' : ''}`} data-figure="time">
        {figure}
        <small>{unit}</small>
        <span class="far-beside">
          <span data-figure="fraction">{said?.time == null ? '' : shutterFraction(said.time)}</span>
          <span data-figure="error">{said?.error == null ? '' : `${signedStops(said.error)} EV`}</span>
        </span>
      </div>
      <p class={`far-verdict ${said?.tone ?? ''}`} role="status" data-figure="verdict">
        <Glyph sign={said?.sign ?? 'waiting'} />{' '}
        {reading?.question?.words ?? said?.words ?? waitingWords(eye, live)}
        {said?.caveat != null && `, ${said.caveat}`}
      </p>
      <p class="far-next" data-figure="next">
        {place === null ? (
          <>
            dial at <strong>{mark}</strong>, {stage}
          </>
        ) : place.now === null ? (
          'programme done'
        ) : (
          <>
            next <strong>{mark}</strong> {mark === place.now.mark && `firing ${place.firing} of ${place.of}`}
          </>
        )}
      </p>
      <button
        type="button"
        class="small far-back"
        onClick={() => showBenchView('one reading')}
        data-action="near"
      >
        Back to the bench <kbd>Esc</kbd>
      </button>
    </main>
  );
}
