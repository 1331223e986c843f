import { signedStops } from '../judge/verdict-words.ts';
import { remarkSentence } from '../measure/remark-sentences.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import { Glyph } from './glyphs.tsx';
import { readingWords } from './reading-words.ts';
import { type Eye, type Reading, useView } from './view.ts';

interface Props {
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly reading: Reading | null;
}

const keptWords: Record<Reading['kept'], string> = {
  provisional: 'provisional, watching for light after closing …',
  writing: 'writing …',
  recorded: 'recorded',
  'not recorded': 'NOT recorded, kept in memory',
  'not filed': 'not filed in this job',
};

/** The last reading, the largest thing on the page: time, fraction, error, verdict. */
export function ReadingPanel({ job, stage, mark, reading }: Props) {
  // Asked for here and not by the bench: the light changes several times a second, table and plots don't.
  const eye = useView((v) => v.eye);
  const live = useView((v) => v.session.phase === 'live');
  const said = reading && readingWords(job, reading);
  const [time, error, caveat] = [said?.time ?? null, said?.error ?? null, said?.caveat ?? null];
  const { sign, words, tone } = said ?? {
    sign: 'waiting' as const,
    words: waitingWords(eye, live),
    tone: '',
  };
  const [figure, unit] = time === null ? ['—', ''] : timeText(time).split(' ');

  return (
    <section
      class={`card reading ${reading?.kept === 'provisional' ? 'fresh' : ''}`}
      aria-label="Last reading"
      data-reading={reading?.id ?? ''}
      data-kept={reading?.kept ?? ''}
      data-eye={eye.phase}
    >
      <div class="dial">
        <span class="quiet">dial at</span> <strong>{mark}</strong>
        <span class="quiet">{stage}</span>
        <span class="state">
          {reading ? `firing ${reading.ordinal}: ${keptWords[reading.kept]}` : ''}
          {reading && live && <span class="light">{eyeWords[eye.phase]}</span>}
          {live && eye.code !== null && <span class="light">light {eye.code}</span>}
        </span>
      </div>
      <div class={`time ${time === null ? 'quiet' : ''}`} data-figure="time">
        {figure}
        <small>{unit}</small>
      </div>
      <div class="beside">
        <div class="fraction" data-figure="fraction">
          {time === null ? '' : shutterFraction(time)}
        </div>
        <div class="error" data-figure="error">
          {error === null ? '' : `${signedStops(error)} EV`}
        </div>
      </div>
      <div class={`verdict ${tone}`} data-figure="verdict">
        <Glyph sign={sign} /> <span>{words}</span>
        {caveat !== null && (
          <span class="caveat beyond">
            <Glyph sign="asks" /> {caveat}
          </span>
        )}
        {reading && (reading.mark !== mark || reading.stage !== stage) && (
          <span class="elsewhere">
            at {reading.mark}, {reading.stage}
          </span>
        )}
      </div>
      <p class="unseen" role="status">
        {reading && reading.kept !== 'provisional'
          ? [
              `Firing ${reading.ordinal} at ${reading.mark}:`,
              time === null ? '' : `${timeText(time)},`,
              error === null ? '' : `${signedStops(error)} EV,`,
              caveat === null ? words : `${words}, ${caveat}`,
              reading.question ? `. ${reading.question.words}` : '',
            ].join(' ')
          : ''}
      </p>
      {reading && (reading.figures.remarks.length > 0 || reading.setAside !== null) && (
        <ul class="remarks">
          {reading.setAside !== null && <li>Set aside: {reading.setAside}</li>}
          {reading.figures.remarks.map((remark) => (
            <li key={remark.code}>{remarkSentence(remark)}</li>
          ))}
        </ul>
      )}
    </section>
  );
}

const eyeWords: Record<Eye['phase'], string> = {
  'no light channel': 'ready',
  'not armed': 'not armed',
  armed: 'ready',
  open: 'open …',
};

/** What the bench waits for. */
export function waitingWords(eye: Eye, live: boolean): string {
  if (!live) return 'no board';
  if (eye.phase === 'not armed') return 'too light or not steady yet: close the shutter';
  if (eye.phase === 'open') return 'open …';
  if (eye.phase === 'no light channel') return 'ready: fire (this board sends open times only)';
  return 'ready: fire';
}
